"""Figures and standings, told as text or JSON."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any, Literal

from overlays.model.figurespec import (
    MinimumFigure,
    PeakFigure,
    PercentileFigure,
    RangeFigure,
)
from overlays.model.result import Figure, Results, Standing
from overlays.model.run import Repeats
from overlays.numbers import fixed, typeset
from overlays.scoring.digits import told, with_uncertainty
from overlays.scoring.figures import MISSING
from overlays.scoring.layout import Table, render
from overlays.scoring.limits import verdict_of
from overlays.scoring.trust import Trust, trust_of
from overlays.units import symbol

__all__ = [
    "TableFormat",
    "figures_document",
    "figures_table",
    "figures_text",
    "standings_document",
    "standings_table",
    "standings_text",
]

_EXTREMES = (MinimumFigure, PeakFigure, PercentileFigure, RangeFigure)

TableFormat = Literal["table", "csv", "json", "md"]


def figures_document(results: Results) -> dict[str, Any]:
    """Return the figures as the JSON document that scripts rely on."""
    return {"figures": [_figure_item(figure, results) for figure in results.figures.values()]}


def _figure_item(figure: Figure, results: Results) -> dict[str, Any]:
    return {
        "figure": figure.figure,
        "entry": figure.entry,
        "test": figure.test,
        "value": figure.value,
        "unit": figure.unit.removeprefix("delta_"),
        "shown": figure.shown,
        "repeats": list(figure.repeats),
        "median_repeat": figure.median_repeat,
        "spread": figure.spread,
        "n": figure.n,
        "uncertainty": _uncertainty(results, trust_of(results, figure.figure, figure.entry)),
        "left_out": _left_out(figure, results),
        "note": _note(figure, results),
    }


def _left_out(figure: Figure, results: Results) -> list[dict[str, Any]]:
    """List the runs that the bench left out of what a figure rests on, with the reasons."""
    return [
        {"test": ref.test, "repeat": ref.repeat, "reason": ref.note}
        for repeats in _repeats_of(figure, results)
        for ref in repeats.left_out
    ]


def _repeats_of(figure: Figure, results: Results) -> list[Repeats]:
    """Return the repeats a figure rests on, by test; several where it is made of other figures."""
    tests = results.session.spec.tests_of(figure.figure)
    return [
        found
        for test in results.session.spec.tests
        if test in tests and (found := results.repeats.get((figure.entry, test))) is not None
    ]


def _uncertainty(results: Results, trust: Trust) -> dict[str, float | str | None]:
    """Return standard, combined and expanded (95 %) uncertainty; null where nothing is known."""
    known = bool(told(results, trust)[1])
    return {
        "type_a": trust.type_a,
        "instrument": trust.instrument,
        "combined": trust.combined,
        "expanded": trust.expanded,
        "told": with_uncertainty(results, trust) if known else None,
    }


def figures_text(results: Results, how: TableFormat) -> str:
    """Return every figure of every entry, as text in the format asked for."""
    if how == "json":
        return _json(figures_document(results))
    mark = "." if how == "csv" else results.session.spec.episode.decimal_mark
    return render(figures_table(results, mark=mark), how)


def figures_table(results: Results, *, mark: str = ".") -> Table:
    """Return every figure of every entry as a table, with the decimal mark given.

    ``value`` is the number as overlays draw it and points are scored from it; ``measured`` is the
    same to the place that the uncertainty beside it supports.
    """
    rows = [_figure_row(figure, results, mark) for figure in results.figures.values()]
    columns = (
        "figure", "entry", "value", "measured", "± (95 %)", "unit",
        "repeats", "run shown", "spread", "n", "note",
    )  # fmt: skip
    numeric = (False, False, True, True, True, False, False, True, True, False, False)
    return Table(columns, numeric, tuple(rows))


def _figure_row(figure: Figure, results: Results, mark: str) -> tuple[str, ...]:
    def shown(value: float | None) -> str:
        return MISSING if value is None else _number(fixed(value, figure.places), mark)

    planned = results.session.spec.tests[figure.test].repeats if figure.test else None
    value, uncertainty = told(results, trust_of(results, figure.figure, figure.entry))
    return (
        figure.figure,
        figure.entry,
        shown(figure.value),
        value if figure.value is None else _number(value, mark),
        _number(uncertainty, mark),
        symbol(figure.unit),
        " ".join(shown(value) for value in figure.repeats),
        "" if figure.median_repeat is None else str(figure.median_repeat),
        "" if figure.spread is None else shown(figure.spread),
        str(figure.n) if planned is None else f"{figure.n}/{planned}",
        _note(figure, results),
    )


def _note(figure: Figure, results: Results) -> str:
    verdict = verdict_of(results, figure.figure, figure.entry)
    repeats = results.repeats.get((figure.entry, figure.test)) if figure.test else None
    notes = [
        figure.why_missing,
        repeats.remark if repeats else "",
        verdict.words if verdict else "",
        _filtered(figure, results),
    ]
    several = len(results.session.spec.tests_of(figure.figure)) > 1
    notes += [
        f"{found.test}: {reason}" if several else reason
        for found in _repeats_of(figure, results)
        for reason in found.reasons()
    ]
    return "; ".join(note for note in notes if note)


def _filtered(figure: Figure, results: Results) -> str:
    """Say of an extreme value that a filter had its part in it."""
    spec = results.session.spec
    declared = spec.figures[figure.figure]
    repeats = results.repeats.get((figure.entry, figure.test)) if figure.test else None
    if repeats is None or not isinstance(declared, _EXTREMES):
        return ""
    test = spec.tests[declared.test]
    channel = declared.channel or test.channels[0]
    if channel not in test.filters or channel not in repeats.median_run.traces:
        return ""
    # Conditioning ends with the filter, and says so last.
    steps = repeats.median_run.traces[channel].steps
    return f"from the filtered trace: {steps[-1]}" if steps else ""


def standings_document(
    results: Results, *, season: bool = True, standings: Sequence[Standing] | None = None
) -> dict[str, Any]:
    """Return the standings as the JSON document that scripts rely on.

    Parameters
    ----------
    results : Results
        What was worked out.
    season : bool
        All entries of the season, or only this session's (with their places in the season).
    standings : sequence of Standing, optional
        Those of another moment, from `overlays.scoring.standings.standings_as_of`.
    """
    chosen = _chosen(results, standings, season=season)
    return {"standings": [_standing_item(standing) for standing in chosen]}


def _chosen(
    results: Results, standings: Sequence[Standing] | None, *, season: bool
) -> Sequence[Standing]:
    found = results.standings if standings is None else standings
    return [standing for standing in found if season or standing.in_session]


def _standing_item(standing: Standing) -> dict[str, Any]:
    row = standing.row
    return {
        "rank": row.rank,
        "entry": row.entry,
        "score": None if row.score is None else float(row.score),
        "points": {
            key: None if points is None else float(points) for key, points in row.points.items()
        },
        "previous_rank": standing.previous_rank,
    }


def standings_text(
    results: Results,
    how: TableFormat,
    *,
    season: bool = True,
    standings: Sequence[Standing] | None = None,
) -> str:
    """Return the standings as text in the format asked for; options as `standings_document`."""
    if how == "json":
        return _json(standings_document(results, season=season, standings=standings))
    mark = "." if how == "csv" else results.session.spec.episode.decimal_mark
    return render(standings_table(results, season=season, standings=standings, mark=mark), how)


def standings_table(
    results: Results,
    *,
    season: bool = True,
    standings: Sequence[Standing] | None = None,
    mark: str = ".",
) -> Table:
    """Return the standings as a table; options as `standings_document`, `mark` the decimal mark."""
    spec = results.session.spec
    labels = [points.label or spec.figures[points.figure].label for points in spec.points.values()]
    rows = []
    for standing in _chosen(results, standings, season=season):
        row = standing.row
        points = [row.points[key] for key in spec.points]
        rows.append(
            (
                _rank(row.rank),
                _rank(standing.previous_rank),
                row.name,
                *(MISSING if one is None else _number(f"{one:f}", mark) for one in points),
                MISSING if row.score is None else _number(f"{row.score:f}", mark),
            )
        )
    columns = ("rank", "before", "entry", *labels, "score")
    numeric = (True, True, False, *(True for _ in labels), True)
    return Table(columns, numeric, tuple(rows))


def _rank(rank: int | None) -> str:
    return MISSING if rank is None else str(rank)


def _number(text: str, mark: str) -> str:
    # A comma as decimal mark is for people; CSV keeps the point, and the plain hyphen.
    return text if mark == "." else typeset(text, decimal_mark=mark)


def _json(document: dict[str, Any]) -> str:
    return json.dumps(document, ensure_ascii=False, indent=2, allow_nan=False) + "\n"
