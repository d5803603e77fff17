"""Whether a clip's alpha is straight: colour under partial alpha not darkened.

A premultiplied pixel holds its colour times its alpha. Read as straight it shows a dark fringe over
anything bright: (200, 40, 40) at half alpha would be stored as (100, 20, 20).
"""

from __future__ import annotations

from typing import Literal

import numpy as np

from overlays.checks.findings import Finding
from overlays.draw.patch import Pixels

__all__ = ["AlphaKind", "alpha_kind", "judge_alpha"]

AlphaKind = Literal["straight", "premultiplied", "undecided"]

# Where alpha is nearly 0 or 255 the two kinds store nearly the same, and codecs err by a few codes.
_LEAST, _MOST = 16, 224
_APART = 12


def alpha_kind(decoded: Pixels, drawn: Pixels) -> AlphaKind:
    """Tell which kind of alpha a decoded frame holds, knowing what was drawn.

    Parameters
    ----------
    decoded, drawn : ndarray of shape (H, W, 4)
        RGBA; `drawn` is known to be straight.

    Returns
    -------
    {"straight", "premultiplied", "undecided"}
        Whichever is nearer where the two differ; undecided where no visible pixel tells.
    """
    alpha = drawn[..., 3]
    partial = (alpha >= _LEAST) & (alpha <= _MOST)
    straight = drawn[partial][:, :3].astype(np.float64)
    multiplied = straight * (alpha[partial][:, None] / 255)
    telling = (straight - multiplied).max(axis=1, initial=0) >= _APART
    if not telling.any():
        return "undecided"
    found = decoded[partial][telling][:, :3].astype(np.float64)
    off_straight = np.abs(found - straight[telling]).mean()
    off_multiplied = np.abs(found - multiplied[telling]).mean()
    return "straight" if off_straight < off_multiplied else "premultiplied"


def judge_alpha(decoded: Pixels, drawn: Pixels, *, frame: int | None = None) -> Finding:
    """Judge one frame: alpha there where it was drawn, and straight.

    Parameters
    ----------
    decoded, drawn : ndarray of shape (H, W, 4)
        RGBA.
    frame : int, optional
        Which frame of the file.
    """
    remedy = "Render the clip again; if it stays so, report the encoder."
    if decoded[..., 3].min() == 255 and drawn[..., 3].min() < 255:
        return Finding("alpha", "fail", "the alpha is lost: all is opaque.", remedy, frame=frame)
    kind = alpha_kind(decoded, drawn)
    if kind == "premultiplied":
        message = (
            "colour under partial alpha is darkened: the alpha is premultiplied, not straight."
        )
        return Finding("alpha", "fail", message, remedy, frame=frame)
    told = "straight" if kind == "straight" else "there; no half-transparent pixel tells its kind"
    return Finding("alpha", "pass", f"the alpha is {told}.", frame=frame)
