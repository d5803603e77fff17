"""Seasons made by hand, to draw tables and comparisons of: names, and points before and now."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from decimal import Decimal

from overlays.draw.patch import Rect, Scene
from overlays.model.result import Results, ScoreRow, Standing
from overlays.model.session import SessionSpec
from overlays.scoring.ranking import ranks
from tests.kinds.conftest import SPEC, figure, make_results, make_session

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


NAMES = ("Elm", "A rather long-winded product name, series two", "Öhrwurm", "Fir", "Gorse")


def measured_results(
    values: Sequence[float | None],
    *,
    better: str = "higher",
    scatter: float = 0.5,
    n: int = 3,
    attributes: Mapping[int, Mapping[str, str]] | None = None,
) -> Results:
    """Return results of entries e0, e1, … with these figures, each the median of `n` runs."""
    keys = [f"e{i}" for i in range(len(values))]
    given = attributes or {}
    entries = {
        key: {
            "name": f"{NAMES[i % len(NAMES)]} {i}",
            "attributes": given.get(
                i, {"price": f"{10 + 7 * i % 31}.50 EUR", "claimed_torque": f"{60 + i} N*m"}
            ),
        }
        for i, key in enumerate(keys)
    }
    figures = {"mean": {**SPEC["figures"]["mean"], "better": better}}
    spec = {**SPEC, "entries": entries, "figures": figures, "points": {}}
    session = replace(make_session(), spec=SessionSpec.model_validate(spec))
    runs = [scatter * (i - (n - 1) // 2) for i in range(n)]
    found = {}
    for key, value in zip(keys, values, strict=True):
        made = figure("mean", key, value, unit="N*m", places=1, n=n)
        repeats = () if value is None else tuple(value + off for off in runs)
        why = "the clamp broke on the way up" if value is None else ""
        found["mean", key] = replace(made, repeats=repeats, why_missing=why)
    return make_results(session=session, figures=found, repeats={}, standings=())


def texts_at(scene: Scene, frame: int) -> list[tuple[str, Rect]]:
    """Return every line of text seen in a frame, with the canvas pixels its ink lies in."""
    return [
        (line.text, line.rect.moved(layer.left, layer.top).meet(layer.covers))
        for layer in scene.layers(frame)
        for line in layer.patch.written
    ]


def overlapping(scene: Scene, frame: int) -> list[tuple[str, str]]:
    """Return the pairs of texts that share a pixel's place in a frame."""
    texts = [(text, rect) for text, rect in texts_at(scene, frame) if not rect.empty]
    return [
        (text, other)
        for i, (text, rect) in enumerate(texts)
        for other, place in texts[:i]
        if not rect.meet(place).empty
    ]
