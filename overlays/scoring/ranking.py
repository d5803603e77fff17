"""Scores → ranks, with ties and what parts them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from decimal import Decimal

from overlays.model.result import ScoreRow
from overlays.model.trustspec import StandingsSpec

__all__ = ["FIRSTS", "ranked", "ranks"]

# The tie-break that counts in how many columns an entry leads, as count-back does.
FIRSTS = "firsts"
_Place = tuple[Decimal, ...]


def ranks(scores: Sequence[Decimal | _Place | None], *, dense: bool = False) -> list[int | None]:
    """Rank scores, the highest first; ties share the lower number.

    Parameters
    ----------
    scores : sequence of (Decimal, tuple of Decimal or None)
        Tuples are compared place by place, for tie-breaks; None is unranked, not last.
    dense : bool
        Count 1, 1, 2 after a tie instead of 1, 1, 3.

    Returns
    -------
    list of (int or None)
        In the order of `scores`.

    Examples
    --------
    >>> ranks([Decimal(42), Decimal(40), Decimal(42), None, Decimal(39)])
    [1, 3, 1, None, 4]
    """
    keys = [_key(score) for score in scores]
    known = [key for key in keys if key is not None]
    if dense:
        places = {key: place for place, key in enumerate(sorted(set(known), reverse=True), 1)}
    else:
        places = {key: 1 + sum(other > key for other in known) for key in known}
    return [None if key is None else places[key] for key in keys]


def _key(score: Decimal | _Place | None) -> _Place | None:
    return (score,) if isinstance(score, Decimal) else score


def ranked(rows: Sequence[ScoreRow], spec: StandingsSpec) -> list[ScoreRow]:
    """Give score rows their ranks and put them in order.

    Ties, and entries without a score, keep the order they came in; the latter come last.

    Parameters
    ----------
    rows : sequence of ScoreRow
        Their ranks are not looked at.
    spec : StandingsSpec
        How the season counts ranks and parts ties.
    """
    firsts = _firsts(rows)
    keys = [_place(row, spec, firsts) for row in rows]
    places = ranks(keys, dense=spec.ranks == "1, 1, 2")
    placed = [replace(row, rank=place) for row, place in zip(rows, places, strict=True)]
    return sorted(placed, key=lambda row: (row.rank is None, row.rank or 0))


def _firsts(rows: Sequence[ScoreRow]) -> Mapping[str, int]:
    """Count for each entry the columns in which nobody has more points."""
    counts = {row.entry: 0 for row in rows}
    for column in rows[0].points if rows else ():
        points = {row.entry: row.points[column] for row in rows}
        known = [one for one in points.values() if one is not None]
        for entry, one in points.items():
            counts[entry] += one is not None and one == max(known)
    return counts


def _place(row: ScoreRow, spec: StandingsSpec, firsts: Mapping[str, int]) -> _Place | None:
    if row.score is None:
        return None
    parts = [row.score]
    for key in spec.tie_breaks:
        points = Decimal(firsts[row.entry]) if key == FIRSTS else row.points.get(key)
        parts.append(Decimal("-Infinity") if points is None else points)
    return tuple(parts)
