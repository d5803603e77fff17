"""Figures, points and standings, and everything worked out of a session."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from overlays.model.run import Repeats
from overlays.model.session import Session

__all__ = ["Figure", "Results", "ScoreRow", "Standing"]


@dataclass(frozen=True, slots=True)
class Figure:
    """A computed number with a unit.

    Parameters
    ----------
    figure, entry : str
        Their keys in the session.
    test : str or None
        The test it is taken from; None where it spans tests.
    value : float or None
        In `unit`; None where it could not be worked out. Never zero by accident.
    unit : str
        The unit it is shown in.
    places : int
        Decimals shown.
    shown : str
        The number as written (`overlays.numbers.fixed`), without unit; ``"–"`` where missing.
    repeats : tuple of (float or None)
        The same figure of every used run, in repeat order; empty where it has no repeats.
    median_repeat : int or None
        Repeat number of the run that gave `value`.
    spread : float or None
        Largest minus smallest of `repeats`; None with fewer than two.
    n : int
        How many repeats stand behind it.
    why_missing : str
        The reason where `value` is None; else empty.
    """

    figure: str
    entry: str
    test: str | None
    value: float | None
    unit: str
    places: int
    shown: str
    repeats: tuple[float | None, ...]
    median_repeat: int | None
    spread: float | None
    n: int
    why_missing: str = ""

    @property
    def known(self) -> tuple[float, ...]:
        """Those of `repeats` that there are."""
        return tuple(value for value in self.repeats if value is not None)


@dataclass(frozen=True, slots=True)
class ScoreRow:
    """One entry's figures, points and score at one moment of the season.

    Parameters
    ----------
    entry, name : str
        Key and the name to show.
    figures : Mapping[str, Figure | None]
        By points column; the figure that column scores.
    points : Mapping[str, Decimal | None]
        By points column, rounded as shown; None where the figure is missing.
    score : Decimal or None
        Sum of the points as shown; None where there are none.
    rank : int or None
        Place in the standings, ties sharing the lower number; None without a score.
    """

    entry: str
    name: str
    figures: Mapping[str, Figure | None]
    points: Mapping[str, Decimal | None]
    score: Decimal | None
    rank: int | None


@dataclass(frozen=True, slots=True)
class Standing:
    """One line of the standings: the row now, and the same entry's row before this episode.

    Parameters
    ----------
    row : ScoreRow
        Now.
    previous : ScoreRow or None
        Before this episode; None for a new entry.
    in_session : bool
        Whether the session tests it.
    previous_line : int or None
        Its line in the table before this episode, counted from 0: ties have an order there too.
    """

    row: ScoreRow
    previous: ScoreRow | None
    in_session: bool
    previous_line: int | None = None

    @property
    def previous_rank(self) -> int | None:
        """Rank before this episode, None for a new entry."""
        return self.previous.rank if self.previous else None


@dataclass(frozen=True, slots=True, eq=False)
class Results:
    """Everything worked out of a session: what overlays, tables and the script draw from.

    Parameters
    ----------
    session : Session
        What it was worked out of.
    repeats : Mapping[tuple[str, str], Repeats]
        By (entry, test).
    figures : Mapping[tuple[str, str], Figure]
        By (figure, entry).
    standings : tuple of Standing
        The whole season after this episode, in order.
    """

    session: Session
    repeats: Mapping[tuple[str, str], Repeats]
    figures: Mapping[tuple[str, str], Figure]
    standings: tuple[Standing, ...]
