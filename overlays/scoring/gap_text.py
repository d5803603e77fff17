"""A gap between two entries, told as text or JSON."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

from overlays.errors import FigureError
from overlays.model.result import Results
from overlays.numbers import fixed, typeset
from overlays.scoring.gap import Gap, gap_between
from overlays.scoring.layout import Table, render
from overlays.scoring.tables import TableFormat
from overlays.units import symbol

__all__ = ["gap_document", "gap_text"]


def gap_text(results: Results, figure: str, a: str, b: str, *, how: TableFormat) -> str:
    """Tell whether the gap between two entries in a figure is real.

    Parameters
    ----------
    results : Results
        What was worked out.
    figure, a, b : str
        Keys of the figure and of the entries.
    how : {"table", "csv", "json", "md"}
        For people the sentence that a host can say comes first, then what it rests on.

    Raises
    ------
    FigureError
        If there is no such figure or entry, the two entries are one, or one lacks the figure.
    """
    spec = results.session.spec
    _check_key(figure, spec.figures, "figure")
    for entry in (a, b):
        _check_key(entry, spec.entries, "entry")
    if a == b:
        raise FigureError(
            f"a gap is between two entries; both are {a!r}.",
            code="bad-gap",
            remedy=f"Name two of: {', '.join(spec.entries)}.",
        )
    gap = gap_between(results, figure, a, b)
    if how == "json":
        return json.dumps(gap_document(gap), ensure_ascii=False, indent=2, allow_nan=False) + "\n"
    mark = "." if how == "csv" else spec.episode.decimal_mark
    table = _table(gap, places=results.figures[figure, a].places + 1, mark=mark)
    return render(table, how) if how == "csv" else f"{gap.sentence}\n\n{render(table, how)}"


def _check_key(key: str, known: Iterable[str], what: str) -> None:
    keys = list(known)
    if key not in keys:
        raise FigureError(
            f"there is no {what} {key!r}.",
            code=f"unknown-{what}",
            remedy=f"Use one of: {', '.join(keys)}.",
        )


def gap_document(gap: Gap) -> dict[str, Any]:
    """Return a gap as a JSON document; null where the repeats cannot tell."""
    welch, pooled = gap.welch, gap.repeatability
    return {
        "figure": gap.figure,
        "entries": [gap.a, gap.b],
        "n": [gap.n_a, gap.n_b],
        "difference": float(gap.shown),
        "unit": gap.unit.removeprefix("delta_"),
        "ahead": gap.ahead,
        "repeatability": None if pooled is None else pooled.s_r,
        "critical_difference": gap.critical,
        "difference_of_means": None if welch is None else welch.difference,
        "welch_interval": None if welch is None else [welch.low, welch.high],
        "permutation_p": gap.p,
        "real": gap.real,
        "reason": gap.reason or None,
        "sentence": gap.sentence,
    }


def _table(gap: Gap, *, places: int, mark: str) -> Table:
    unit = symbol(gap.unit)

    def shown(value: float) -> str:
        # One decimal more than the figure: what it is judged by is smaller than the figure.
        text = fixed(value, places)
        return f"{text if mark == '.' else typeset(text, decimal_mark=mark)} {unit}".rstrip()

    rows = [("runs", f"{gap.a} {gap.n_a}, {gap.b} {gap.n_b}")]
    if gap.repeatability is not None:
        rows.append(("repeatability standard deviation", shown(gap.repeatability.s_r)))
    if gap.critical is not None:
        rows.append(("critical difference (ISO 5725-6, 95 %)", shown(gap.critical)))
    if gap.welch is not None:
        low, high = shown(gap.welch.low), shown(gap.welch.high)
        rows.append((f"mean of {gap.a} minus mean of {gap.b}", shown(gap.welch.difference)))
        rows.append(("Welch's interval (95 %)", f"{low} to {high}"))
    if gap.p is not None:
        rows.append(("exact permutation p", fixed(gap.p, 3)))
    untold = f"cannot be told: {gap.reason}"
    rows.append(("real", {True: "yes", False: "not shown by these runs", None: untold}[gap.real]))
    return Table(("what", "value"), (False, False), tuple(rows))
