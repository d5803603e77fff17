"""Ink that lies outside the safe area, `overlays.draw.page.safe_rect`."""

from __future__ import annotations

import numpy as np

from overlays.checks.findings import Finding
from overlays.draw.page import Area, safe_rect
from overlays.draw.patch import Pixels, Rect

__all__ = ["LEAST_CANVAS_PX", "ink_box", "judge_safe_area"]

LEAST_CANVAS_PX = 240
"""On smaller canvases letters are heaps of pixels, and margins a pixel or two."""


def ink_box(pixels: Pixels, *, faintest: int = 8) -> Rect:
    """Return the smallest rectangle that holds all visible pixels; empty where nothing is visible.

    Parameters
    ----------
    pixels : ndarray of shape (H, W, 4)
        Straight RGBA.
    faintest : int
        The lowest alpha that counts as visible: the outermost haze of smoothed edges does not.
    """
    visible = pixels[..., 3] >= faintest
    rows, columns = np.flatnonzero(visible.any(axis=1)), np.flatnonzero(visible.any(axis=0))
    if rows.size == 0:
        return Rect(0, 0, 0, 0)
    return Rect(int(columns[0]), int(rows[0]), int(columns[-1]) + 1, int(rows[-1]) + 1)


def judge_safe_area(
    pixels: Pixels, *, area: Area = "graphics", frame: int | None = None
) -> Finding:
    """Judge whether ink of one frame lies outside the safe area.

    Parameters
    ----------
    pixels : ndarray of shape (H, W, 4)
        Straight RGBA.
    area : {"graphics", "action"}
        Which of the two.
    frame : int, optional
        Which frame of the file.
    """
    safe = safe_rect(pixels.shape[1], pixels.shape[0], area=area)
    ink = ink_box(pixels)
    sides = {
        "left": safe.left - ink.left,
        "top": safe.top - ink.top,
        "right": ink.right - safe.right,
        "bottom": ink.bottom - safe.bottom,
    }
    past = {} if ink.empty else {side: over for side, over in sides.items() if over > 0}
    if not past:
        message = f"everything lies within the {area} safe area."
        return Finding("safe-area", "pass", message, frame=frame)
    told = " and ".join(f"{over} px past its {side} edge" for side, over in past.items())
    return Finding(
        "safe-area",
        "fail",
        f"ink lies {told}, outside the {area} safe area ({safe.left}, {safe.top}) to "
        f"({safe.right}, {safe.bottom}).",
        "Choose another placement or a shorter text.",
        frame=frame,
    )
