"""What a head-to-head shows, as plain data."""

from __future__ import annotations

from dataclasses import dataclass

from overlays.draw.picture import Picture
from overlays.kinds.base import Content

__all__ = ["HeadToHeadContent", "Side", "VersusRow"]


@dataclass(frozen=True, slots=True)
class Side:
    """One of two entries.

    Parameters
    ----------
    name, note : str
        The entry's.
    colour : int
        The entry's place in the session.
    picture : Picture or None
        What the entry looks like.
    """

    name: str
    note: str
    colour: int
    picture: Picture | None = None


@dataclass(frozen=True, slots=True)
class VersusRow:
    """A figure of both.

    Parameters
    ----------
    label : str
        What it is called, and which way is better if that is down.
    unit : str
        As set on screen.
    texts : (str, str)
        The numbers as written; a dash where one is missing.
    values : (float or None, float or None)
        The numbers.
    lead : str
        Who is ahead; empty where they are level or cannot be compared.
    by : str
        By how much, as written, without unit; empty likewise.
    by_unit : str
        The unit of that in words or as set.
    verdict : str
        Whether the gap is real, in words.
    real : bool or None
        The same; None where nobody can say.
    ahead : int or None
        0 or 1, the entry that is ahead.
    """

    label: str
    unit: str
    texts: tuple[str, str]
    values: tuple[float | None, float | None]
    lead: str
    by: str
    by_unit: str
    verdict: str
    real: bool | None
    ahead: int | None


@dataclass(frozen=True, slots=True)
class HeadToHeadContent(Content):
    """What a head-to-head shows.

    Parameters
    ----------
    title : str
        Between the two names; may be empty.
    caption : tuple of str
        How figures were measured.
    sides : (Side, Side)
        Who is on the left, and who on the right.
    rows : tuple of VersusRow
        In the order of the cue.
    """

    title: str
    caption: tuple[str, ...]
    sides: tuple[Side, Side]
    rows: tuple[VersusRow, ...]

    @property
    def values(self) -> tuple[str, ...]:
        """The differences."""
        return tuple(row.by for row in self.rows if row.by)
