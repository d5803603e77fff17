"""The panel: one tone, one corner cut off; flags and arrows cut from the same cloth."""

from __future__ import annotations

from overlays.draw.page import Page
from overlays.draw.patch import Layer, Rect
from overlays.draw.sheet import Sheet
from overlays.style.colour import Colour

__all__ = ["arrow", "flag", "panel"]


def panel(rect: Rect, page: Page) -> Layer:
    """Draw the backing shape, its upper right corner cut off."""
    cut = round(page.style.corner.panel * page.scale)
    points = [
        (rect.left, rect.top), (rect.right - cut, rect.top), (rect.right, rect.top + cut),
        (rect.right, rect.bottom), (rect.left, rect.bottom),
    ]  # fmt: skip
    return Sheet(rect).fill(points, page.colours.panel).layer()


def flag(rect: Rect, cut: int, colour: Colour) -> Layer:
    """Draw a flag: a block with its lower outer corner cut off, hoisted at its left edge."""
    points = [
        (rect.left, rect.top), (rect.right, rect.top), (rect.right, rect.bottom - cut),
        (rect.right - cut, rect.bottom), (rect.left, rect.bottom),
    ]  # fmt: skip
    return Sheet(rect).fill(points, colour).layer()


def arrow(
    sheet: Sheet, tip: tuple[float, float], towards: tuple[int, int], length: float, colour: Colour
) -> None:
    """Draw a slim filled arrow as on technical drawings, a third as wide as long.

    `towards` is the unit direction it points in; its tip lies at `tip`.
    """
    dx, dy = towards
    half = length / 6
    x, y = tip[0] - dx * length, tip[1] - dy * length
    sheet.fill([tip, (x - dy * half, y + dx * half), (x + dy * half, y - dx * half)], colour)
