"""The steel rule: a strip with ticks along its reading edge, true to the scale beside it."""

from __future__ import annotations

from typing import Literal

from overlays.draw.axis import Scale, Ticks
from overlays.draw.page import Page
from overlays.draw.patch import Layer, Rect
from overlays.draw.sheet import Sheet, block

__all__ = ["RULE", "Reading", "engraved", "strip"]

Reading = Literal["left", "right", "top"]

# How wide a panel's ruled edge is, in a style's lengths; the longest ticks go most of the way.
RULE = 36
# Ticks are at least this far apart.
_LEAST = 6


def strip(rect: Rect, page: Page) -> Layer:
    """Lay the bare body of a rule."""
    return block(rect, page.colours.steel)


def engraved(rect: Rect, reading: Reading, scale: Scale, ticks: Ticks, page: Page) -> Layer:
    """Rule the ticks of a strip, from its reading edge inwards.

    Parameters
    ----------
    rect : Rect
        The strip.
    reading : {"left", "right", "top"}
        Which of its edges is read: the left and right one measure upwards, the top one to the
        right.
    scale : Scale
        From values to canvas pixels along the strip.
    ticks : Ticks
        The numbered ticks; the unnumbered between them follow by themselves.
    """
    upwards = reading != "top"
    depth = rect.right - rect.left if upwards else rect.bottom - rect.top
    width = page.px(page.style.strokes.tick)
    marks = [(float(value), 0.83, page.colours.engraved) for value in ticks.numbered]
    marks += [
        (float(value), 0.58 if is_half else 0.34, page.colours.scored)
        for value, is_half in scale.minor(ticks, _LEAST * page.scale)
    ]
    sheet = Sheet(rect)
    for value, share, colour in marks:
        # Whole pixels keep ticks equally sharp; they stay within half a pixel of true. Where the
        # strip itself ends at a tick, its end is the mark.
        along = round(scale.at(value) - width / 2)
        length = max(1, round(depth * share))
        low, high = (rect.top, rect.bottom) if upwards else (rect.left, rect.right)
        if along <= low or along + width >= high:
            continue
        if reading == "right":
            sheet.rect(Rect(rect.right - length, along, rect.right, along + width), colour)
        elif reading == "left":
            sheet.rect(Rect(rect.left, along, rect.left + length, along + width), colour)
        else:
            sheet.rect(Rect(along, rect.top, along + width, rect.top + length), colour)
    return sheet.layer()
