"""Whether text stands out from its panel, or its stroke, over any picture.

The limits are WCAG's (success criterion 1.4.3, level AA): 4.5:1, and 3:1 for large text. A panel
that lets the footage through changes its colour with it, so contrast is the least over black,
white, a ramp of greys and a busy picture; where the text's own luminance lies between the panel
over black and the panel over white, some picture makes it vanish.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from overlays.checks.colour import contrast_ratio
from overlays.checks.findings import Finding
from overlays.draw.backdrop import busy

__all__ = ["LEAST_CONTRAST", "LEAST_LARGE", "Contrast", "judge_contrast", "least_contrast"]

LEAST_CONTRAST = 4.5
LEAST_LARGE = 3.0

Rgba = tuple[int, int, int, int]
Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Contrast:
    """The least contrast of a text, and over which backdrop.

    Parameters
    ----------
    ratio : float
        From 1 to 21, not rounded.
    backdrop : str
        ``"black"``, ``"white"``, ``"grey"`` or ``"busy"``.
    """

    ratio: float
    backdrop: str


def _backdrops() -> Mapping[str, Floats]:
    grey = np.arange(256, dtype=np.float64) / 255
    picture = busy(64, 36).reshape(-1, 3) / 255
    return {
        "black": np.zeros((1, 3)),
        "white": np.ones((1, 3)),
        "grey": np.repeat(grey[:, None], 3, axis=1),
        "busy": np.asarray(picture, np.float64),
    }


def _over(colour: Rgba, under: Floats) -> Floats:
    alpha = colour[3] / 255
    return np.array(colour[:3]) / 255 * alpha + under * (1 - alpha)


def least_contrast(text: Rgba, panel: Rgba) -> Contrast:
    """Return the least contrast of text lying on a panel, over all backdrops.

    Parameters
    ----------
    text, panel : (int, int, int, int)
        8-bit straight RGBA. Text without a panel lies on alpha 0.
    """
    worst = Contrast(np.inf, "")
    for name, backdrop in _backdrops().items():
        ground = _over(panel, backdrop)
        ratio = float(contrast_ratio(_over(text, ground), ground).min())
        # Later backdrops must be worse by more than a rounding error to be named.
        if ratio < worst.ratio - 1e-9:
            worst = Contrast(ratio, name)
    return worst


def judge_contrast(
    name: str,
    *,
    text: Rgba,
    panel: Rgba = (0, 0, 0, 0),
    stroke: Rgba | None = None,
    large: bool = False,
) -> Finding:
    """Judge one text: legible by its panel, or else by its stroke.

    Parameters
    ----------
    name : str
        What the text is, for the message.
    text : (int, int, int, int)
        8-bit straight RGBA.
    panel : (int, int, int, int)
        What it lies on; alpha 0 where there is none.
    stroke : (int, int, int, int), optional
        The outline around its letters.
    large : bool
        At least 24 CSS pixels, or bold and at least 18.66, as WCAG defines it at 96 dpi.

    Returns
    -------
    Finding
        A pass if the better of the two reaches the limit.
    """
    least = LEAST_LARGE if large else LEAST_CONTRAST
    found = least_contrast(text, panel)
    behind = "its panel" if panel[3] else "the picture"
    if stroke is not None:
        # The stroke lies on the panel, and the text on the stroke.
        outlined = least_contrast(text, _laid(stroke, panel))
        if outlined.ratio > found.ratio:
            found, behind = outlined, "its stroke"
    message = (
        f"{name} has a contrast of {_cut(found.ratio)}:1 against {behind} over {found.backdrop}; "
        f"expected {least:g}:1 or more."
    )
    if found.ratio >= least:
        return Finding("contrast", "pass", message)
    remedy = "Make the panel denser, add a stroke, or change the colour of the text in the style."
    return Finding("contrast", "fail", message, remedy)


def _laid(upper: Rgba, lower: Rgba) -> Rgba:
    """Return straight `upper` over straight `lower`, by Porter and Duff."""
    a, b = upper[3] / 255, lower[3] / 255 * (1 - upper[3] / 255)
    total = a + b
    if total == 0:
        return (0, 0, 0, 0)
    red, green, blue = (
        round((u * a + v * b) / total) for u, v in zip(upper[:3], lower[:3], strict=True)
    )
    return (red, green, blue, round(total * 255))


def _cut(ratio: float) -> str:
    # Never rounded up to the limit: 4.496 is written 4.49.
    return f"{int(ratio * 100) / 100:.2f}"
