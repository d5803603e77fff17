"""Labels beside points: near them, inside the plot, clear of one another and of what is drawn."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from overlays.draw.patch import Rect

__all__ = ["beside"]

# Directions a label is tried in, the preferred ones first: to the right, above, below, to the left.
_WAYS = ((1, -1), (1, 1), (1, 0), (0, -1), (0, 1), (-1, -1), (-1, 1), (-1, 0))
# How far off, in heights of the label.
_RINGS = (0.0, 0.5, 1.0, 1.75, 2.5, 3.5, 5.0)
_SWEEPS = 12
# What it costs to lie on another label or point, and each turn from the preferred direction.
_HIT, _TURN = 1000.0, 0.15


def beside(
    points: Sequence[tuple[int, int]],
    sizes: Sequence[tuple[int, int]],
    *,
    radius: int,
    inside: Rect,
    crossed: Sequence[tuple[Rect, float]] = (),
) -> tuple[Rect, ...]:
    """Place a label for every point.

    Each label takes the cheapest of its places in turn, the others standing, until none wants to
    move: nearest first, off other labels and points at nearly any price, off lines if it costs
    little. The same points always give the same places.

    Parameters
    ----------
    points : sequence of (int, int)
        Canvas pixels.
    sizes : sequence of (int, int)
        Width and height of each point's label.
    radius : int
        Half the size of a point's mark, and the space a label keeps from it.
    inside : Rect
        Labels stay in it.
    crossed : sequence of (Rect, float)
        Lines, as thin rectangles, that labels would rather not lie on, and how much rather: one
        is worth a move by a label's height.

    Returns
    -------
    tuple of Rect
        The labels' places, in the order of the points.
    """
    marks = [Rect(x - radius, y - radius, x + radius, y + radius) for x, y in points]
    choices = [
        list(_choices(point, size, radius, inside))
        for point, size in zip(points, sizes, strict=True)
    ]
    places = [options[0][1] for options in choices]
    for _ in range(_SWEEPS):
        before = list(places)
        for index, options in enumerate(choices):
            others = places[:index] + places[index + 1 :]
            places[index] = min(
                options, key=lambda option: option[0] + _cost(option[1], others, marks, crossed)
            )[1]
        if places == before:
            break
    return tuple(places)


def _choices(
    point: tuple[int, int], size: tuple[int, int], radius: int, inside: Rect
) -> Iterator[tuple[float, Rect]]:
    """Yield the places a label may have, each with what it costs by itself."""
    (x, y), (width, height) = point, size
    for ring in _RINGS:
        off = round((1.5 + 0.5 * (ring > 0)) * radius + ring * height)
        for turn, (right, down) in enumerate(_WAYS):
            # Diagonals lie at the same distance as the others.
            step = off if 0 in (right, down) else round(off * math.sqrt(0.5))
            left = x + right * step - (width * (1 - right)) // 2
            top = y + down * step - (height * (1 - down)) // 2
            # A label at the edge slides along it.
            left = min(max(left, inside.left), inside.right - width)
            top = min(max(top, inside.top), inside.bottom - height)
            place = Rect(left, top, left + width, top + height)
            away = math.hypot(*_off(point, place)) / max(1, height)
            yield away + _TURN * turn, place


def _off(point: tuple[int, int], place: Rect) -> tuple[int, int]:
    """Return how far a point is from a rectangle, across and down; zero inside."""
    x, y = point
    return (
        max(place.left - x, 0, x - place.right),
        max(place.top - y, 0, y - place.bottom),
    )


def _cost(
    place: Rect,
    others: Sequence[Rect],
    marks: Sequence[Rect],
    crossed: Sequence[tuple[Rect, float]],
) -> float:
    """Return what it costs to lie where something else is, more the more of it is covered."""
    hits = sum(
        1 + place.meet(other).area / max(1, place.area)
        for other in (*others, *marks)
        if not place.meet(other).empty
    )
    return _HIT * hits + sum(cost for line, cost in crossed if not place.meet(line).empty)
