"""Figures drawn anew from the scatter of the repeats, for asking how sure an order is.

What an entry's repeats have in common is kept: figures of one test come from the same runs, so
they are drawn together, with the scatter pooled over all entries (as repeatability is). Ratios and
differences are then worked out from what was drawn, as they are from what was measured.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

import numpy as np

from overlays.model.figurespec import AttributeFigure, DifferenceFigure, PairFigure, TraceFigure
from overlays.model.result import Results
from overlays.model.trace import FloatArray
from overlays.units import convert, convert_difference

if TYPE_CHECKING:
    from numpy.random import Generator

__all__ = ["draw_figures", "pooled_covariance"]


def pooled_covariance(groups: list[FloatArray]) -> tuple[FloatArray, int]:
    """Return the covariance of repeats within entries, and its degrees of freedom.

    Parameters
    ----------
    groups : list of ndarray of shape (n, K)
        The repeats of each entry, K figures of each.

    Returns
    -------
    covariance : ndarray of shape (K, K)
        Zero where no entry has two repeats.
    dof : int
        Σ(n - 1).
    """
    width = groups[0].shape[1]
    total, dof = np.zeros((width, width)), 0
    for group in groups:
        away = group - group.mean(axis=0)
        total += away.T @ away
        dof += len(group) - 1
    return (total / dof if dof else total), dof


def draw_figures(
    results: Results, draws: int, rng: Generator
) -> Mapping[tuple[str, str], FloatArray]:
    """Draw every figure of every entry of the session anew.

    The mean of an entry's n repeats is known to the pooled covariance over n; as that is itself
    estimated, deviations follow Student's distribution, not the normal one (GUM Supplement 1,
    6.4.9). They are laid around the values shown.

    Parameters
    ----------
    results : Results
        What was measured.
    draws : int
        How often.
    rng : numpy Generator
        Seeded by the caller.

    Returns
    -------
    Mapping[tuple[str, str], ndarray of shape (draws,)]
        By (entry, figure); missing figures are left out.
    """
    drawn: dict[tuple[str, str], FloatArray] = {}
    for test in results.session.spec.tests:
        _draw_test(results, test, draws, rng, drawn)
    work = _Derived(results, draws, drawn)
    for key in results.session.spec.figures:
        for entry in results.session.spec.entries:
            work.of(entry, key)
    return drawn


def _draw_test(
    results: Results,
    test: str,
    draws: int,
    rng: Generator,
    drawn: dict[tuple[str, str], FloatArray],
) -> None:
    figures = results.session.spec.figures
    keys = [
        key for key, spec in figures.items() if isinstance(spec, TraceFigure) and spec.test == test
    ]
    for key in keys:
        _draw_alone(results, key, draws, drawn)
    tables = {
        entry: table
        for entry in results.session.spec.entries
        if keys and len(table := _whole_runs(results, keys, entry))
    }
    if not tables:
        return
    covariance, dof = pooled_covariance(list(tables.values()))
    if dof == 0:
        return
    # Positive semidefinite by make, but rounding may leave a hair below zero.
    scales, axes = np.linalg.eigh(covariance)
    root = axes * np.sqrt(np.maximum(scales, 0.0))
    for entry, table in tables.items():
        normal = rng.standard_normal((draws, len(keys))) @ root.T
        student = normal / np.sqrt(rng.chisquare(dof, size=(draws, 1)) / dof)
        shown = np.array([results.figures[key, entry].value for key in keys], dtype=float)
        values = shown + student / np.sqrt(len(table))
        for place, key in enumerate(keys):
            drawn[entry, key] = values[:, place]


def _whole_runs(results: Results, keys: list[str], entry: str) -> FloatArray:
    """Return the figures of an entry's runs, (runs, figures), without runs that lack one."""
    figures = [results.figures[key, entry] for key in keys]
    if any(figure.value is None for figure in figures):
        return np.empty((0, len(keys)))
    runs = zip(*(figure.repeats for figure in figures), strict=True)
    return np.array([run for run in runs if None not in run], np.float64).reshape(-1, len(keys))


def _draw_alone(
    results: Results, key: str, draws: int, drawn: dict[tuple[str, str], FloatArray]
) -> None:
    """Let a figure stand as measured; what has repeats is then drawn over it."""
    for entry in results.session.spec.entries:
        value = results.figures[key, entry].value
        if value is not None:
            drawn[entry, key] = np.full(draws, value)


class _Derived:
    """Ratios and differences of what was drawn."""

    def __init__(
        self, results: Results, draws: int, drawn: dict[tuple[str, str], FloatArray]
    ) -> None:
        self.results = results
        self.spec = results.session.spec
        self.draws = draws
        self.drawn = drawn

    def of(self, entry: str, key: str) -> FloatArray | None:
        """Return a figure's draws, worked out where they are not there yet."""
        figure, spec = self.results.figures[key, entry], self.spec.figures[key]
        if (entry, key) in self.drawn or figure.value is None:
            return self.drawn.get((entry, key))
        if isinstance(spec, AttributeFigure):
            self.drawn[entry, key] = np.full(self.draws, figure.value)
        elif isinstance(spec, PairFigure):
            values = self._combined(entry, spec, figure.value, figure.unit)
            if values is not None:
                self.drawn[entry, key] = values
        return self.drawn.get((entry, key))

    def _combined(self, entry: str, spec: PairFigure, value: float, unit: str) -> FloatArray | None:
        first, second = self._operand(entry, spec.of), self._operand(entry, spec.by)
        if first is None or second is None:
            return None
        (top, top_shown, top_unit), (bottom, bottom_shown, bottom_unit) = first, second
        if isinstance(spec, DifferenceFigure):
            moved = (top - top_shown) * convert_difference(1.0, top_unit, unit)
            moved -= (bottom - bottom_shown) * convert_difference(1.0, bottom_unit, unit)
            return value + moved
        # Relative to the ratio shown, so that units and factors need no second working out.
        if top_shown == 0:
            return None
        with np.errstate(divide="ignore", invalid="ignore"):
            ratio: FloatArray = value * (top / top_shown) / (bottom / bottom_shown)
        return ratio

    def _operand(self, entry: str, name: str) -> tuple[FloatArray, float, str] | None:
        if name in self.spec.figures:
            values, figure = self.of(entry, name), self.results.figures[name, entry]
            if values is None or figure.value is None:
                return None
            return values, figure.value, figure.unit
        quantity = self.spec.entries[entry].attributes.get(name)
        if quantity is None:
            return None
        value = convert(quantity.value, quantity.unit, quantity.unit)
        return np.full(self.draws, value), value, quantity.unit
