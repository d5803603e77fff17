"""What a score update shows: one entry's columns before and now, the score and the rank."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from overlays.kinds.base import Content
from overlays.numbers import fixed

__all__ = ["Column", "ScoreUpdateContent", "total_text"]


@dataclass(frozen=True, slots=True)
class Column:
    """One column of the row.

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
class ScoreUpdateContent(Content):
    """What a score update shows.

    Parameters
    ----------
    title : str
        Of the standings.
    caption : tuple of str
        After which episode.
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
    of : int
        How many entries have a rank.
    """

    title: str
    caption: tuple[str, ...]
    name: str
    note: str
    colour: int
    columns: tuple[Column, ...]
    old_score: str | None
    old_rank: int | None
    rank: int | None
    of: int

    @property
    def places(self) -> int:
        """Decimals of the score."""
        return max((column.places for column in self.columns), default=0)

    @property
    def most(self) -> Decimal:
        """The highest score there can be; never less than what a column has given."""
        tops = (max(column.most, column.points or Decimal(0)) for column in self.columns)
        return sum((top for top in tops if top > 0), Decimal(0)) or Decimal(1)

    @property
    def sums(self) -> tuple[tuple[tuple[str, ...], str], ...]:
        """The points of every column, and the score."""
        points = [column.points for column in self.columns]
        parts = tuple(
            fixed(column.points, column.places)
            for column in self.columns
            if column.points is not None
        )
        return ((parts, total_text(self, points)),)


def total_text(content: ScoreUpdateContent, points: Sequence[Decimal | None]) -> str:
    """Return the total of points as it is shown: their sum, to the most decimals any has."""
    total = sum((part for part in points if part is not None), Decimal(0))
    return fixed(total, content.places)
