"""The lanes above a picture: what is measured from when to when, by name."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from overlays.draw.axis import Scale
from overlays.turnover.look.lettering import Lettering
from overlays.turnover.look.marks import Mark
from overlays.turnover.look.paper import INK, QUIET, Paper

__all__ = ["LANE", "MEASURED", "ZERO", "Lane", "draw_lane", "lanes_of"]

MEASURED, ZERO = "#d9a441", "#8f9aa1"
LANE = 17
"""Height of a lane, in pixels."""
_BAR = 13
_SMALL, _STRONG = Lettering(11), Lettering(11, 700)
_AIR = 4


@dataclass(frozen=True, slots=True)
class Lane:
    """One mark's place in a lane, in pixels.

    Parameters
    ----------
    mark : Mark
        What is marked.
    bars : tuple of (float, float)
        The windows, cut to the picture.
    label : str
        Its name, as much of it as there is room for.
    label_x : float
        Where the name begins.
    """

    mark: Mark
    bars: tuple[tuple[float, float], ...]
    label: str
    label_x: float

    @property
    def extent(self) -> tuple[float, float]:
        """From where to where it takes room."""
        ends = [end for bar in self.bars for end in bar]
        ends += [self.label_x, self.label_x + _letters(self.mark).width(self.label)]
        return min(ends) - _AIR, max(ends) + _AIR


def _letters(mark: Mark) -> Lettering:
    return _STRONG if mark.main else _SMALL


def lanes_of(marks: Sequence[Mark], times: Scale, margin: float) -> tuple[tuple[Lane, ...], ...]:
    """Put marks into as few lanes as keep their names apart.

    Parameters
    ----------
    marks : sequence of Mark
        In the order wanted, the upper ones first.
    times : Scale
        From seconds to pixels.
    margin : float
        Room left of the picture that a name may run into.
    """
    rows: list[list[Lane]] = []
    for mark in marks:
        if not mark.windows and mark.at_s is None:
            continue
        lane = _lane(mark, times, margin)
        left, right = lane.extent
        for row in rows:
            if all(right <= other.extent[0] or left >= other.extent[1] for other in row):
                row.append(lane)
                break
        else:
            rows.append([lane])
    return tuple(tuple(row) for row in rows)


def _lane(mark: Mark, times: Scale, margin: float) -> Lane:
    bars = tuple(
        (max(times.start, times.at(start_s)), min(times.end, times.at(end_s)))
        for start_s, end_s in mark.windows
    )
    if mark.at_s is not None:
        bars = ((times.at(mark.at_s) - _BAR / 2, times.at(mark.at_s) + _BAR / 2),)
    letters = _letters(mark)
    width = letters.width(mark.label)
    free = _free(bars, times.start - margin, times.end + margin / 2)
    left, right = next((one for one in free if width <= one[1] - one[0]), max(free, key=_length))
    label = letters.fitted(mark.label, right - left)
    width = letters.width(label)
    # Beside a bar the name stands next to it, and in the middle elsewhere.
    if left == bars[-1][1] + _AIR:
        return Lane(mark, bars, label, left)
    if right == bars[0][0] - _AIR:
        return Lane(mark, bars, label, right - width)
    return Lane(mark, bars, label, (left + right - width) / 2)


def _free(
    bars: Sequence[tuple[float, float]], left: float, right: float
) -> list[tuple[float, float]]:
    """List where a name may stand: on a bar, after the last, before the first, between two."""
    rooms = [*bars, (bars[-1][1], right), (left, bars[0][0])]
    rooms += [(one[1], other[0]) for one, other in pairwise(bars)]
    return [(start + _AIR, end - _AIR) for start, end in rooms]


def _length(room: tuple[float, float]) -> float:
    return room[1] - room[0]


def draw_lane(paper: Paper, lane: Lane, top: float) -> None:
    """Draw a mark's bars, or the pointer to its moment, and its name."""
    colour = ZERO if lane.mark.zero else MEASURED
    middle = top + _BAR / 2
    for left, right in lane.bars:
        if lane.mark.at_s is not None:
            x = (left + right) / 2
            paper.line([(x - 3.5, middle - 3), (x, middle + 4), (x + 3.5, middle - 3)], colour, 2)
            continue
        paper.rect((left, top, right, top + _BAR), colour, opacity=0.45)
        for x in (left, right):
            paper.line([(x, top), (x, top + _BAR)], colour, 1.5)
    ink = QUIET if lane.mark.zero else INK
    paper.text(lane.label_x, top + _BAR - 3, lane.label, _letters(lane.mark), ink)
