"""What a score update shows: the columns of each entry before and now, its score and its rank."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from overlays.kinds.base import Content
from overlays.numbers import fixed

__all__ = ["NOTHING", "Column", "ScoreUpdateContent", "Update"]

# Stands where there is no number.
NOTHING = "–"


@dataclass(frozen=True, slots=True)
class Column:
    """One column of an entry's row.

    Parameters
    ----------
    key, label, unit : str
        The points column, what it is called, and its figure's unit as set.
    old, new : str or None
        The figure before this episode and now; None where there is none.
    points : Decimal or None
        As shown; None where the figure is missing.
    most : Decimal
        What could be had; negative where a column only takes points away, and this is the most
        that it takes.
    places : int
        Decimals of the points.
    """

    key: str
    label: str
    unit: str
    old: str | None
    new: str | None
    points: Decimal | None
    most: Decimal
    places: int


@dataclass(frozen=True, slots=True)
class Update:
    """One entry's row, and how it changes.

    Parameters
    ----------
    name, note : str
        The entry's.
    colour : int
        The entry's place in the session.
    columns : tuple of Column
        In the order of the cue.
    old_score : str or None
        The score before this episode.
    old_rank, rank : int or None
        Places before and now.
    """

    name: str
    note: str
    colour: int
    columns: tuple[Column, ...]
    old_score: str | None
    old_rank: int | None
    rank: int | None

    @property
    def places(self) -> int:
        """Decimals of the score."""
        return max((column.places for column in self.columns), default=0)

    @property
    def points(self) -> tuple[Decimal | None, ...]:
        """The points of every column."""
        return tuple(column.points for column in self.columns)

    @property
    def any_old(self) -> bool:
        """Whether anything was there before."""
        return self.old_score is not None or any(c.old is not None for c in self.columns)

    @property
    def score(self) -> str:
        """The score as it is shown."""
        return self.total(self.points)

    def total(self, points: Sequence[Decimal | None]) -> str:
        """Return the total of points as it is shown: their sum, to the most decimals any has.

        An entry with no points in any column has no total, and never nought by accident.
        """
        if all(column.points is None for column in self.columns):
            return NOTHING
        return fixed(sum((part for part in points if part is not None), Decimal(0)), self.places)


@dataclass(frozen=True, slots=True)
class ScoreUpdateContent(Content):
    """What a score update shows.

    Parameters
    ----------
    title : str
        Of the standings.
    caption : tuple of str
        After which episode.
    updates : tuple of Update
        One entry each, in the order in which they are shown; all have the same columns.
    of : int
        How many entries have a rank.
    """

    title: str
    caption: tuple[str, ...]
    updates: tuple[Update, ...]
    of: int

    @property
    def last(self) -> Update:
        """The entry whose row stands open at the end."""
        return self.updates[-1]

    @property
    def most(self) -> Decimal:
        """The highest score there can be; never less than what columns have given."""
        tops = (max(one.most, one.points or Decimal(0)) for one in self.tallest)
        return sum((top for top in tops if top > 0), Decimal(0)) or Decimal(1)

    @property
    def tallest(self) -> tuple[Column, ...]:
        """Of every column, the entry's that has the most points."""
        return tuple(
            max(columns, key=lambda column: column.points or Decimal(0))
            for columns in zip(*(update.columns for update in self.updates), strict=True)
        )

    @property
    def set_figures(self) -> tuple[tuple[str, str], ...]:
        """The figures of the row that stands open at the end; of the others points are set."""
        each = len(self.figures) // len(self.updates)
        return self.figures[len(self.figures) - each :]

    @property
    def sums(self) -> tuple[tuple[tuple[str, ...], str], ...]:
        """The points of every column of the last entry, and its score."""
        last = self.last
        parts = tuple(
            fixed(column.points, column.places)
            for column in last.columns
            if column.points is not None
        )
        return ((parts, last.score),) if parts else ()
