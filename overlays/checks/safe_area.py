"""Safe areas, and ink that lies outside them.

EBU R 95 and SMPTE ST 2046-1:2009 keep action within 93 % and graphics (titles) within 90 % of the
width and height: margins of 3.5 % and 5 % on every side. Glossaries swap the two; the standards do
not. They speak of 16:9; the same shares are used at any other canvas. The published pixels at
1920x1080, action 67 to 1852 by 38 to 1041 and graphics 96 to 1823 by 54 to 1025, are these margins
rounded half up (the pixels from memory, equal to the computed ones).
"""

from __future__ import annotations

from typing import Literal

import numpy as np

from overlays.checks.findings import Finding
from overlays.draw.patch import Pixels, Rect

__all__ = ["MARGINS_PERMILLE", "ink_box", "judge_safe_area", "safe_rect"]

Area = Literal["action", "graphics"]

MARGINS_PERMILLE: dict[Area, int] = {"action": 35, "graphics": 50}


def safe_rect(width: int, height: int, *, area: Area = "graphics") -> Rect:
    """Return the safe area of a canvas.

    Examples
    --------
    >>> safe_rect(1920, 1080)
    Rect(left=96, top=54, right=1824, bottom=1026)
    """
    across, down = ((side * MARGINS_PERMILLE[area] * 2 + 1000) // 2000 for side in (width, height))
    return Rect(across, down, width - across, height - down)


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
    pixels: Pixels, *, area: Area = "graphics", frame: int | None = None, faintest: int = 8
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
    faintest : int
        See `ink_box`.
    """
    safe = safe_rect(pixels.shape[1], pixels.shape[0], area=area)
    ink = ink_box(pixels, faintest=faintest)
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
