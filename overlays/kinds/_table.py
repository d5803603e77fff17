"""A table of standings, before an episode and after it, and what happens in between."""

from __future__ import annotations

from collections.abc import Container, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from overlays.kinds._travel import Step, travel
from overlays.kinds.base import Content
from overlays.style.house import Motion

__all__ = ["Act", "StandingsContent", "TableRow", "acts"]


@dataclass(frozen=True, slots=True)
class TableRow:
    """One entry's row, before this episode and now.

    Parameters
    ----------
    name : str
        The entry's.
    colour : int or None
        The entry's place in the session; None for an entry of another episode.
    marked : bool
        Whether the row is shown in its colour, and travels by itself.
    old_rank, rank : int or None
        Places before and now.
    old_score, score : str or None
        As written; None without points.
    old_points, points : tuple of Decimal
        What the score is made of, column by column; those of missing figures are left out.
    """

    name: str
    colour: int | None
    marked: bool
    old_rank: int | None
    rank: int | None
    old_score: str | None
    score: str | None
    old_points: tuple[Decimal, ...]
    points: tuple[Decimal, ...]

    @property
    def rescored(self) -> bool:
        """Whether it has other points than before."""
        return (self.old_score, self.old_points) != (self.score, self.points)


@dataclass(frozen=True, slots=True)
class StandingsContent(Content):
    """What a table of standings shows.

    Parameters
    ----------
    title : str
        Of the standings.
    caption : tuple of str
        After which episode.
    rows : tuple of TableRow
        In the order of the standings now.
    before : tuple of int
        Indices of the rows there were before, in their order then.
    travellers : tuple of int
        Indices of the marked rows, in the order in which they travel.
    most : Decimal
        All the points there are.
    shown : int or None
        How many rows are shown at once; None for as many as there is room for.
    dense : bool
        Whether places count 1, 1, 2 after a tie instead of 1, 1, 3.
    """

    title: str
    caption: tuple[str, ...]
    rows: tuple[TableRow, ...]
    before: tuple[int, ...]
    travellers: tuple[int, ...]
    most: Decimal
    shown: int | None
    dense: bool

    @property
    def set_figures(self) -> tuple[tuple[str, str], ...]:
        """None: a table of standings shows scores, not the figures behind them."""
        return ()

    @property
    def values(self) -> tuple[str, ...]:
        """The score of the row that travels last, which is in view whatever the page."""
        score = self.rows[self.travellers[-1]].score if self.travellers else None
        return () if score is None else (score,)

    @property
    def steps(self) -> tuple[Step, ...]:
        """The journeys from the order before to the order now."""
        return travel(self.before, tuple(range(len(self.rows))), self.travellers)

    @property
    def rescored(self) -> tuple[int, ...]:
        """Rows that are not marked, were there before, and have other points now."""
        return tuple(i for i in self.before if self.rows[i].rescored and not self.rows[i].marked)

    def numbers(self, order: Sequence[int], now: Container[int]) -> tuple[int | None, ...]:
        """Return the number of every place of a table as it stands.

        Ties share a number, and a row without a score has none. Before and after the journeys
        these are the places in the standings; on the way they count the rows.

        Parameters
        ----------
        order : sequence of int
            Rows by place.
        now : container of int
            Rows that show what they have now; the others show what they had before.
        """
        found: list[int | None] = []
        ranked = 0
        last: tuple[bool, int | None] | None = None
        for index in order:
            row, is_now = self.rows[index], index in now
            rank = row.rank if is_now else row.old_rank
            if (row.score if is_now else row.old_score) is None:
                found.append(None)
                continue
            tied = last == (is_now, rank)
            ranked += 0 if tied and self.dense else 1
            shared = next((n for n in reversed(found) if n is not None), 0)
            found.append(shared if tied else ranked)
            last = (is_now, rank)
        return tuple(found)


@dataclass(frozen=True, slots=True)
class Act:
    """Something that happens on its own.

    Parameters
    ----------
    kind : str
        The panel comes; the table as it was; points of unmarked rows change; nothing, for a
        while; the table slides a little, or its page is turned; a row's points change, or a new
        row comes; a row travels; old places are struck.
    seconds : float
        How long it wants to take.
    step : int
        Whose journey it belongs to.
    view : (int, int)
        The topmost place in view, before and after.
    """

    kind: Literal["panel", "table", "points", "rest", "slide", "turn", "score", "move", "ranks"]
    seconds: float
    step: int
    view: tuple[int, int]


# Longer journeys take longer, up to so many places.
_FAR = 8
# So many rows may slide by.
_SLIDE = 2


def acts(content: StandingsContent, shown: int, motion: Motion) -> Iterator[Act]:
    """Yield what happens, one thing after another.

    A long table slides by a row or two, else it is turned like a page: rows that ran past would
    flash. A row that travels further than the page leaves it at its edge, and is found again on
    the next.

    Parameters
    ----------
    content : StandingsContent
        The table.
    shown : int
        Rows shown at once.
    motion : Motion
        The style's times.
    """
    steps, marked = content.steps, set(content.travellers)
    length = len(content.before)
    first = next((content.before.index(i) for i in content.travellers if i in content.before), 0)
    view = _view_on(0, first, first, shown, length)
    yield Act("panel", motion.panel, 0, (view, view))
    yield Act("table", 2 * motion.axes, 0, (view, view))
    if content.rescored:
        yield Act("points", 2 * motion.step, 0, (view, view))
    for index, step in enumerate(steps):
        loud, far = step.row in marked, abs(step.end - step.start)
        length += step.arrives
        target = _view_on(view, step.start, step.end, shown, length) if loud else view
        if target != view:
            # What has just arrived is looked at before it goes.
            yield Act("rest", 3 * motion.step if index else 0.0, index, (view, view))
            yield _turn(view, target, index, motion)
        if step.arrives or (loud and content.rows[step.row].rescored):
            yield Act("score", (4 if loud else 1.5) * motion.step, index, (target, target))
        calm = 2 + 0.5 * min(far, _FAR) if loud else 1.5
        yield Act("move", calm * motion.swap if far else 0.0, index, (target, target))
        view = _view_on(target, step.end, step.end, shown, length) if loud else target
        if target != view:
            yield _turn(target, view, index, motion)
    if any(row.old_rank not in (None, row.rank) for row in content.rows):
        yield Act("ranks", 1.5 * motion.step, len(steps), (view, view))


def _turn(view: int, target: int, step: int, motion: Motion) -> Act:
    rows = abs(target - view)
    if rows <= _SLIDE:
        return Act("slide", 1.2 * motion.axes * rows, step, (view, target))
    return Act("turn", 1.6 * motion.axes, step, (view, target))


def _view_on(view: int, start: int, end: int, shown: int, total: int) -> int:
    """Move the view as little as it takes to see a journey, or else where it starts.

    The row above and the one below are seen as well where there is room, to compare with.
    """
    low, high = min(start, end), max(start, end)
    if high - low >= shown:
        low = high = start
    if high - low + 3 <= shown:
        low, high = low - 1, high + 1
    view = min(max(view, high - shown + 1), low)
    return min(max(view, 0), max(0, total - shown))
