"""The figures of every run of a place, side by side."""

from __future__ import annotations

from dataclasses import dataclass

from overlays.model.result import Results
from overlays.numbers import fixed, typeset
from overlays.scoring.figures import MISSING
from overlays.turnover.look.seen import SeenPlace, SeenRun, own_figures
from overlays.units import symbol

__all__ = ["FigureRow", "figure_rows", "run_remark"]


@dataclass(frozen=True, slots=True)
class FigureRow:
    """One figure.

    Parameters
    ----------
    label, unit : str
        What it is called, and the unit as set.
    main : bool
        Whether it chooses the median run.
    cells : tuple of str
        Its number by run, as shown; in brackets where the run is left out, a dash where it has
        none.
    spread : str
        Largest less smallest of the used runs; empty with fewer than two.
    """

    label: str
    unit: str
    main: bool
    cells: tuple[str, ...]
    spread: str


def run_remark(seen: SeenRun) -> str:
    """Say in a word or two what a run is: the one shown, left out, unreadable, or nothing."""
    if not seen.ref.use:
        return "left out"
    if seen.run is None:
        return "no trace"
    return "median" if seen.median else ""


def figure_rows(results: Results, place: SeenPlace) -> tuple[FigureRow, ...]:
    """Return the figures taken from the test alone, the main one first."""
    spec = results.session.spec
    mark = spec.episode.decimal_mark
    rows = []
    for key in own_figures(results, place.test):
        figure = results.figures[key, place.entry]

        def shown(value: float | None, places: int = figure.places) -> str:
            return "" if value is None else typeset(fixed(value, places), decimal_mark=mark)

        cells = []
        for seen in place.runs:
            value = seen.values.get(key)
            number = shown(value.value) if value else ""
            cells.append(f"({number})" if number and not seen.ref.use else number or MISSING)
        rows.append(
            FigureRow(
                label=spec.figures[key].label,
                unit=symbol(figure.unit),
                main=key == spec.tests[place.test].main,
                cells=tuple(cells),
                spread=shown(figure.spread),
            )
        )
    return tuple(rows)
