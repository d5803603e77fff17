"""Seasons made by hand, to draw tables and comparisons of: names, and points before and now."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from decimal import Decimal

from overlays.model.result import Results, ScoreRow, Standing
from overlays.model.session import SessionSpec
from overlays.scoring.ranking import ranks
from tests.kinds.conftest import SPEC, make_results, make_session

Points = tuple[str | None, ...]

SEASON: Mapping[str, tuple[Points | None, Points]] = {
    "alder": (("24.9", "11.3"), ("30.0", "13.6")),
    "basalt": (None, ("28.7", None)),
    "fennel": (("26.4", "13.1"), ("26.4", "13.1")),
    "osier": (("24.5", "15.0"), ("24.5", "15.0")),
    "marl": (("21.2", "12.0"), ("21.2", "12.0")),
    "nettle": (("27.4", "12.1"), ("27.4", "12.1")),
    "pumice": (("27.1", "12.4"), ("27.1", "12.4")),
    "dune": (None, ("22.9", "10.8")),
    "tallow": ((None, None), (None, None)),
}


def season_results(
    season: Mapping[str, tuple[Points | None, Points]] = SEASON,
    *,
    entries: Mapping[str, Mapping[str, object]] | None = None,
) -> Results:
    """Return results whose standings are these, ties sharing a place, in a stable order."""
    spec = {**SPEC, "entries": {**SPEC["entries"], **(entries or {})}}
    session = replace(make_session(), spec=SessionSpec.model_validate(spec))
    before = _ranked({entry: old for entry, (old, _) in season.items() if old is not None})
    now = _ranked({entry: new for entry, (_, new) in season.items()})
    standings = [
        Standing(row, before.get(entry), in_session=entry in session.spec.entries)
        for entry, row in now.items()
    ]
    standings.sort(key=lambda one: (one.row.rank is None, one.row.rank or 0))
    return make_results(session=session, standings=tuple(standings))


def _ranked(points: Mapping[str, Sequence[str | None]]) -> dict[str, ScoreRow]:
    given = {
        entry: [None if part is None else Decimal(part) for part in parts]
        for entry, parts in points.items()
    }
    scores = {
        entry: None
        if all(part is None for part in parts)
        else sum((part for part in parts if part is not None), Decimal(0))
        for entry, parts in given.items()
    }
    places = ranks(list(scores.values()))
    return {
        entry: ScoreRow(
            entry,
            entry.capitalize(),
            {"cold": None, "claim": None},
            dict(zip(("cold", "claim"), given[entry], strict=True)),
            score,
            place,
        )
        for (entry, score), place in zip(scores.items(), places, strict=True)
    }
