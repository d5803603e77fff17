"""A panel's heading: the title, and under it a quiet line that says what is shown and how."""

from __future__ import annotations

from collections.abc import Sequence

from overlays.draw.page import Page
from overlays.draw.patch import Layer, Rect
from overlays.draw.text import fitted, wrapped

__all__ = ["JOINT", "heading"]

# Between the parts of a quiet line.
JOINT = "   ·   "


def heading(
    title: str, caption: Sequence[str], rect: Rect, page: Page, *, left: int
) -> tuple[tuple[Layer, ...], int]:
    """Set a heading into the top of a panel.

    Parameters
    ----------
    title : str
        Set large, on one line.
    caption : sequence of str
        Set quietly under it, on as many lines as it needs.
    rect : Rect
        The panel.
    left : int
        Where lines begin.

    Returns
    -------
    layers : tuple of Layer
        The lines of text.
    bottom : int
        The row under the heading's space, where the panel's content may begin.
    """
    pad = page.px(page.style.space.pad)
    loud, small = page.face("loud", page.style.type.title), page.face("text", page.style.type.small)
    width = rect.right - left - pad
    y = rect.top + pad + loud.cap_height
    # The title keeps clear of the panel's cut corner.
    layers = [loud.layer(fitted(loud, title, width - pad), left, y, page.colours.ink)]
    y += page.px(6)
    for line in wrapped(small, caption, JOINT, width):
        y += small.line
        layers.append(small.layer(line, left, y, page.colours.quiet))
    return tuple(layers), y + pad
