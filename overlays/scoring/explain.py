"""Where an entry's total comes from: each point, from run to sum, with formula and numbers.

Every line can be worked out again by hand from the numbers beside it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from overlays.errors import LedgerError, Problems
from overlays.model.figurespec import (
    AttributeFigure,
    FigureSpec,
    PairFigure,
    RatioFigure,
    TraceFigure,
    WindowFigure,
)
from overlays.model.pointspec import (
    ClaimPoints,
    LinePoints,
    PenaltyPoints,
    PointsSpec,
    SharePoints,
    StepsPoints,
)
from overlays.model.result import Figure, Results, Standing
from overlays.numbers import fixed
from overlays.scoring.figures import MISSING
from overlays.scoring.ledger import LedgerRow
from overlays.scoring.points import Judged
from overlays.scoring.season import Season, own_results, units_of
from overlays.units import Quantity, symbol

__all__ = ["ColumnStory", "explain_text", "explained"]


@dataclass(frozen=True, slots=True)
class ColumnStory:
    """How one column's points come about.

    Parameters
    ----------
    column, label : str
        Key and heading of the column.
    points : Decimal or None
        As shown.
    lines : tuple of str
        From the runs, or the ledger, to the points.
    """

    column: str
    label: str
    points: Decimal | None
    lines: tuple[str, ...]


def explained(results: Results, ledger: Sequence[LedgerRow], entry: str) -> tuple[ColumnStory, ...]:
    """Derive each of an entry's points.

    Parameters
    ----------
    results : Results
        What was worked out.
    ledger : sequence of LedgerRow
        The season's ledger.
    entry : str
        Key of an entry in the standings.

    Raises
    ------
    LedgerError
        If the entry is not in the standings.
    """
    standing = _standing(results, entry)
    session = results.session
    own = own_results(session, results.figures)
    season = Season(session, ledger, Problems(), units=units_of(own))
    number = session.spec.episode.number
    known = {**season.results(number - 1), **own}
    bests = season.bests(known, up_to=number)
    stories = []
    for key, column in session.spec.points.items():
        figure, points = standing.row.figures[key], standing.row.points[key]
        label = column.label or session.spec.figures[column.figure].label
        lines = list(_figure_lines(results, column.figure, entry, figure, ledger))
        if figure is not None:
            judged = season.judged(column, entry, figure, bests[key], up_to=number)
            lines.append(_rule_line(column, judged, points))
        stories.append(ColumnStory(key, label, points, tuple(lines)))
    return tuple(stories)


def _standing(results: Results, entry: str) -> Standing:
    for standing in results.standings:
        if standing.row.entry == entry:
            return standing
    known = ", ".join(standing.row.entry for standing in results.standings)
    raise LedgerError(
        f"there is no entry {entry!r} in the standings.",
        code="unknown-entry",
        remedy=f"Known are: {known}.",
    )


def _amount(value: float | Decimal | str | None, unit: str, places: int = 0) -> str:
    if value is None:
        return MISSING
    text = value if isinstance(value, str) else fixed(value, places)
    return f"{text} {symbol(unit)}".rstrip()


def _figure_lines(
    results: Results,
    key: str,
    entry: str,
    figure: Figure | None,
    ledger: Sequence[LedgerRow],
) -> Sequence[str]:
    own = results.figures.get((key, entry))
    spec = results.session.spec.figures[key]
    if own is not None and own.value is not None:
        return [
            f"{spec.label}: {_how(spec, results)}",
            *_run_lines(own, results),
            *_operand_lines(spec, own, entry, results),
        ]
    if figure is None:
        why = own.why_missing if own is not None else "never measured"
        return [f"{spec.label}: missing ({why}), so it gives no points"]
    rows = [
        row
        for row in ledger
        if (row.entry, row.figure) == (entry, key)
        and row.action == "result"
        and row.episode < results.session.spec.episode.number
    ]
    source = rows[-1].source or f"episode {rows[-1].episode}" if rows else "the ledger"
    return [f"{spec.label}: {_amount(figure.shown, figure.unit)} ({source})"]


def _run_lines(figure: Figure, results: Results) -> list[str]:
    repeats = results.repeats.get((figure.entry, figure.test)) if figure.test else None
    if repeats is None or not figure.repeats:
        return []
    digits = figure.places + 1
    parts = [
        f"run {run.ref.repeat} ({run.ref.file}) {_amount(value, figure.unit, digits)}"
        for run, value in zip(repeats.runs, figure.repeats, strict=True)
    ]
    shown = f"run {figure.median_repeat} is shown"
    main = results.session.spec.tests[repeats.test].main
    why = f"the median by {main}" + (f", {repeats.remark}" if repeats.remark else "")
    return ["; ".join(parts), f"{shown} ({why}): {_amount(figure.shown, figure.unit)}"]


def _operand_lines(spec: FigureSpec, figure: Figure, entry: str, results: Results) -> list[str]:
    if not isinstance(spec, PairFigure):
        return []
    parts = [_operand(name, entry, results) for name in (spec.of, spec.by)]
    if isinstance(spec, RatioFigure):
        factor = f" × {_written(spec.times)}" if spec.times else ""
        sum_up = f"{parts[0]}{factor} / {parts[1]}"
    else:
        sum_up = f"{parts[0]} - {parts[1]}"
    return [f"{sum_up} = {_amount(figure.value, figure.unit, figure.places + 2)}"]


def _operand(name: str, entry: str, results: Results) -> str:
    figure = results.figures.get((name, entry))
    if figure is None:
        return _written(results.session.spec.entries[entry].attributes[name])
    # Two digits more than shown: a ratio is taken of what was measured.
    return _amount(figure.value, figure.unit, figure.places + 2)


def _written(quantity: Quantity) -> str:
    return _amount(quantity.value, quantity.unit, quantity.places)


def _how(spec: FigureSpec, results: Results) -> str:
    if isinstance(spec, AttributeFigure):
        return f"the attribute {spec.attribute}"
    if isinstance(spec, PairFigure):
        sign = "over" if isinstance(spec, RatioFigure) else "minus"
        return f"{spec.of} {sign} {spec.by}"
    if not isinstance(spec, TraceFigure):
        return spec.take
    test = results.session.spec.tests[spec.test]
    channel = spec.channel or test.channels[0]
    what = f"{spec.take.replace('_', ' ')} of {channel} in “{test.label}”"
    if isinstance(spec, WindowFigure):
        start = _written(spec.start) if spec.start else "the trigger"
        end = _written(spec.end) if spec.end else _written(test.length)
        what += f", from {start} to {end}"
    details = {
        name: value
        for name in ("at", "level", "low", "high", "share", "over", "band", "along", "edge")
        if (value := getattr(spec, name, None)) is not None
    }
    for name, value in details.items():
        what += f", {name} {_written(value) if isinstance(value, Quantity) else value}"
    return what


def _rule_line(column: PointsSpec, judged: Judged, points: Decimal | None) -> str:
    """Write the rule with its numbers, as `overlays.scoring.points` works it out."""
    value, unit = _amount(f"{judged.value:f}", judged.unit), judged.unit
    weight = "" if column.weight == 1 else f" × {column.weight:g}"
    most = f"{column.most:g}{weight}"
    result = MISSING if points is None else f"{points:f}"
    if isinstance(column, SharePoints | ClaimPoints):
        if isinstance(column, ClaimPoints):
            what, ceiling = "claimed", column.ceiling
            other = None if judged.claim is None else f"{judged.claim.to(unit):g}"
        elif column.best is not None:
            what, ceiling, other = "the reference", column.at_most, f"{column.best.to(unit):g}"
        else:
            what, ceiling = "the best", column.at_most
            other = None if judged.best is None else f"{judged.best:f}"
        if other is None:
            return f"there is nothing to compare {value} with, so it gives no points"
        top, bottom = (judged.value, other) if judged.better == "higher" else (other, judged.value)
        return (
            f"{top} / {bottom} × {most} = {result} ({what}: {other}; at most {ceiling:g} × {most})"
        )
    if isinstance(column, LinePoints | PenaltyPoints):
        none_at, most_at = (f"{end.to(unit):g}" for end in (column.none_at, column.most_at))
        sign = "-" if isinstance(column, PenaltyPoints) else ""
        share = f"({judged.value} - {none_at}) / ({most_at} - {none_at})"
        return f"{sign}{share} × {most} = {result} (held between 0 and {most})"
    if isinstance(column, StepsPoints):
        steps = ", ".join(f"{_written(step)}: {given:g}" for step, given in column.steps)
        way = "or more" if judged.better == "higher" else "or less"
        return f"{value} on the steps {steps} ({way}){weight} = {result}"
    return f"{value} = {result}"


def explain_text(results: Results, ledger: Sequence[LedgerRow], entry: str) -> str:
    """Tell the derivation of an entry's total as plain text. Raises as `explained`."""
    standing = _standing(results, entry)
    row = standing.row
    rank = "unranked" if row.rank is None else f"rank {row.rank}"
    before = standing.previous_rank
    was = "" if before is None else f", before this episode {before}"
    lines = [f"{row.name}: {rank}{was}", ""]
    stories = explained(results, ledger, entry)
    for story in stories:
        lines.append(f"{story.label}: {MISSING if story.points is None else f'{story.points:f}'}")
        lines += [f"    {line}" for line in story.lines]
        lines.append("")
    known = [f"{story.points:f}" for story in stories if story.points is not None]
    total = MISSING if row.score is None else f"{row.score:f}"
    lines.append(f"total: {' + '.join(known) or MISSING} = {total}".replace("+ -", "- "))
    return "\n".join(lines) + "\n"
