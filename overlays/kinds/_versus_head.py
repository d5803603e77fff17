"""The head of a head-to-head: two names and pictures, and what this is between them."""

from __future__ import annotations

from overlays.draw.heading import JOINT
from overlays.draw.page import Page
from overlays.draw.patch import Layer, Rect
from overlays.draw.picture import fitted_size, placed_in
from overlays.draw.text import Face, fitted, wrapped
from overlays.kinds._pictured import BOX_HEIGHT, BOX_WIDTH
from overlays.kinds._versus_content import HeadToHeadContent
from overlays.style.colour import Colour

__all__ = ["versus_head"]

# Over a picture and under it; on a wide canvas, where it stands beside the name, it is lower.
_ABOVE, _BELOW, _BESIDE = 22, 16, 0.8


def versus_head(
    content: HeadToHeadContent, rect: Rect, page: Page, *, pictured: bool
) -> tuple[tuple[Layer, ...], int]:
    """Set the head into the top of a panel.

    Parameters
    ----------
    rect : Rect
        The panel.
    pictured : bool
        Whether the pictures are shown, if there are any: beside the names on a wide canvas, else
        above them.

    Returns
    -------
    layers : tuple of Layer
        Pictures and lines of text.
    height : int
        From the panel's top to where its rows may begin.
    """
    colours, px = page.colours, page.px
    pad = px(page.style.space.pad)
    name = page.face("loud", page.style.type.title)
    small, strong = (page.face(w, page.style.type.small) for w in ("text", "strong"))
    first, second = content.sides
    seen, beside, low = _pictures(content, rect, page) if pictured else ([], (0, 0), rect.top)
    above = 0 if any(beside) or not seen else low - rect.top - pad + px(_BELOW)
    left, right = rect.left + pad + beside[0], rect.right - pad - beside[1]
    baseline = rect.top + pad + above + name.cap_height
    middle = (rect.left + rect.right) // 2
    width = 2 * min(middle - left, right - middle)

    def ends(texts: tuple[str, str], face: Face, between: int, colour: Colour) -> list[Layer]:
        """Set a text at either end, shortened to leave room for what is between."""
        spaces = (middle - left - between // 2 - px(24), right - middle - between // 2 - px(24))
        one, other = (fitted(face, text, room) for text, room in zip(texts, spaces, strict=True))
        return [
            *((face.layer(one, left, baseline, colour),) if one else ()),
            *((face.layer(other, right, baseline, colour, "right"),) if other else ()),
        ]

    layers = [
        *seen,
        *ends((first.name, second.name), name, strong.width(content.title), colours.ink),
    ]
    if content.title:
        layers.append(strong.layer(content.title, middle, baseline, colours.ink, "centre"))
    notes, lines = (first.note, second.note), wrapped(small, content.caption, JOINT, width)
    longest = max(small.width(note) for note in notes)
    if any(notes):
        baseline += px(6) + small.line
        layers += ends(notes, small, 0, colours.quiet)
        if len(lines) == 1 and 2 * longest + px(48) + small.width(lines[0]) <= width:
            layers.append(small.layer(lines.pop(), middle, baseline, colours.quiet, "centre"))
    # What the notes leave no room for goes under them.
    for index, line in enumerate(lines):
        baseline += px(2 if index else 10) + small.line
        layers.append(small.layer(line, middle, baseline, colours.quiet, "centre"))
    return tuple(layers), max(baseline + px(34), low + px(_BELOW)) - rect.top


def _pictures(
    content: HeadToHeadContent, rect: Rect, page: Page
) -> tuple[list[Layer], tuple[int, int], int]:
    """Place the pictures at either end; return the room they take beside names, and their foot."""
    px, pad = page.px, page.px(page.style.space.pad)
    wide = page.shape == "wide"
    share = _BESIDE if wide else 1.0
    high, most = px(share * BOX_HEIGHT), min(px(BOX_WIDTH), (rect.right - rect.left) // 3)
    top = rect.top + px(_ABOVE)
    layers: list[Layer] = []
    beside = [0, 0]
    for side, entry in enumerate(content.sides):
        if entry.picture is None:
            continue
        across = fitted_size(entry.picture, most, high)[0]
        left = rect.left + pad if side == 0 else rect.right - pad - across
        layers.append(placed_in(entry.picture, Rect(left, top, left + across, top + high)))
        beside[side] = across + px(page.style.space.apart) if wide else 0
    return layers, (beside[0], beside[1]), top + high if layers else rect.top
