"""Runs → figures: every declared figure of every entry, in the unit and digits shown."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from overlays.errors import FigureError, InputError, Problems, UnitError
from overlays.model.figurespec import (
    AttributeFigure,
    DifferenceFigure,
    FigureSpec,
    PairFigure,
    RatioFigure,
    TraceFigure,
)
from overlays.model.result import Figure
from overlays.model.run import Repeats, Run
from overlays.model.session import Session
from overlays.numbers import fixed
from overlays.scoring.takes.registry import take
from overlays.scoring.takes.view import View, no_value
from overlays.units import POINT, convert, difference_unit, is_offset, per, same_dimension, times

__all__ = ["DEFAULT_PLACES", "MISSING", "FigureWork", "Value"]

MISSING = "–"

DEFAULT_PLACES = 1
"""Decimals of a figure that declares none, until its uncertainty is known (`digits`)."""

_Work = Callable[[], "Value"]


@dataclass(frozen=True, slots=True)
class Value:
    """A figure of one run, or of an entry: a number in a unit, or why there is none."""

    value: float | None
    unit: str
    why: str = ""


class FigureWork:
    """Works out figures of a session, each only once a run.

    Parameters
    ----------
    session : Session
        What is declared.
    problems : Problems
        Receives what cannot be worked out for any run, once a figure, with its line; and a
        warning for each figure that an entry lacks.
    """

    def __init__(self, session: Session, problems: Problems) -> None:
        self._session = session
        self._spec = session.spec
        self._problems = problems
        self._of_runs: dict[tuple[str, str, str, int], Value] = {}
        self._broken: set[str] = set()

    def of_run(self, key: str, run: Run) -> Value:
        """Return a figure of one run; the figure must be taken from that run's test alone."""
        place = (key, run.ref.entry, run.ref.test, run.ref.repeat)
        if place not in self._of_runs:
            figure = self._spec.figures[key]
            self._of_runs[place] = self._guarded(key, lambda: self._run_value(figure, run))
        return self._of_runs[place]

    def of_entry(self, key: str, entry: str, repeats: Mapping[tuple[str, str], Repeats]) -> Figure:
        """Return a figure of an entry: that of the run shown, and of all its repeats."""
        spec = self._spec.figures[key]
        tests = self._spec.tests_of(key)
        if len(tests) == 1:
            (test,) = tests
            found = repeats.get((entry, test))
            if found is None:
                label = self._spec.tests[test].label
                none = Value(None, "", f"no run of {label}")
                return _figure(key, entry, spec, test=test, shown=none)
            values = [self.of_run(key, run) for run in found.runs]
            median = found.median
            figure = _figure(
                key,
                entry,
                spec,
                test=test,
                shown=values[median],
                values=values,
                median_repeat=found.median_run.ref.repeat,
            )
        else:
            shown = self._guarded(key, lambda: self._entry_value(spec, entry, repeats))
            n = min((self._repeat_count(entry, test, repeats) for test in tests), default=0)
            figure = _figure(key, entry, spec, shown=shown, n=n)
        if figure.value is None and key not in self._broken:
            self._warn_missing(figure)
        return figure

    def _repeat_count(
        self, entry: str, test: str, repeats: Mapping[tuple[str, str], Repeats]
    ) -> int:
        found = repeats.get((entry, test))
        return len(found.runs) if found else 0

    def _warn_missing(self, figure: Figure) -> None:
        self._problems.warn(
            "missing-figure",
            f"{figure.figure} of {figure.entry} is missing: {figure.why_missing}.",
            remedy="It is shown as missing and earns no points; check the run and the figure.",
            file="session.toml",
            line=self._session.line("figures", figure.figure),
        )

    def _guarded(self, key: str, work: _Work) -> Value:
        """Work a figure out; what no run can have is told once, and is missing everywhere."""
        if key in self._broken:
            return Value(None, "", "its definition has an error")
        try:
            value = work()
            return self._shown(self._spec.figures[key], value) if value.value is not None else value
        except FigureError as error:
            if error.code == "no-value":
                return Value(None, "", error.message)
            broken: InputError = error
        except UnitError as error:
            broken = error
        self._broken.add(key)
        line = self._session.line("figures", key, broken.field or "unit")
        field = f"figures.{key}"
        with self._problems.collecting(file="session.toml", line=line, field=field):
            raise broken
        return Value(None, "", "its definition has an error")

    def _shown(self, spec: FigureSpec, value: Value) -> Value:
        """Convert a value to the unit its figure is shown in."""
        if value.value is None or spec.unit is None:
            return value
        if value.unit == POINT and spec.unit == "%":
            return value
        difference = value.unit.startswith("delta_")
        unit = difference_unit(spec.unit) if difference else spec.unit
        return Value(convert(value.value, value.unit, unit), unit)

    def _run_value(self, spec: FigureSpec, run: Run) -> Value:
        if isinstance(spec, TraceFigure):
            length_s = self._spec.tests[spec.test].length.to("s")
            value, unit = take(spec, View(run.traces, length_s))
            return Value(value, unit)
        if not isinstance(spec, PairFigure):
            raise no_value("it is not taken from a run")
        operands = [self._run_operand(name, run) for name in (spec.of, spec.by)]
        return _combined(spec, *operands)

    def _run_operand(self, name: str, run: Run) -> Value:
        if name not in self._spec.figures:
            return self._attribute(name, run.ref.entry)
        if self._spec.tests_of(name):
            return self.of_run(name, run)
        return self._guarded(
            name, lambda: self._entry_value(self._spec.figures[name], run.ref.entry, {})
        )

    def _entry_value(
        self, spec: FigureSpec, entry: str, repeats: Mapping[tuple[str, str], Repeats]
    ) -> Value:
        if isinstance(spec, AttributeFigure):
            return self._attribute(spec.attribute, entry)
        if not isinstance(spec, PairFigure):
            raise no_value("it is taken from a run")
        return _combined(
            spec, *(self._entry_operand(name, entry, repeats) for name in (spec.of, spec.by))
        )

    def _entry_operand(
        self, name: str, entry: str, repeats: Mapping[tuple[str, str], Repeats]
    ) -> Value:
        if name not in self._spec.figures:
            return self._attribute(name, entry)
        tests = self._spec.tests_of(name)
        if len(tests) == 1:
            (test,) = tests
            found = repeats.get((entry, test))
            if found is None:
                return Value(None, "", f"no run of {self._spec.tests[test].label}")
            return self.of_run(name, found.median_run)
        inner = self._spec.figures[name]
        return self._guarded(name, lambda: self._entry_value(inner, entry, repeats))

    def _attribute(self, name: str, entry: str) -> Value:
        quantity = self._spec.entries[entry].attributes.get(name)
        if quantity is None:
            return Value(None, "", f"{entry} has no {name}")
        return Value(quantity.value, quantity.unit)


def _combined(spec: PairFigure, of: Value, by: Value) -> Value:
    """Return the ratio or difference of two values, both unrounded."""
    for value in (of, by):
        if value.value is None:
            return value
    if of.value is None or by.value is None:  # for the type checker: the loop has seen to it
        return of
    if isinstance(spec, DifferenceFigure):
        other = convert(by.value, by.unit, of.unit)
        # 62 % and 55 % are 7 percentage points apart; "7 %" would say something else.
        return Value(of.value - other, POINT if of.unit == "%" else difference_unit(of.unit))
    for value in (of, by):
        if is_offset(value.unit):
            raise FigureError(
                f"a ratio of {value.unit} means nothing: that scale has no true zero.",
                code="offset-ratio",
                remedy="Take a difference, or show the channel in K.",
            )
    if by.value == 0:
        raise no_value("it is divided by 0")
    top = Value(of.value, of.unit)
    if isinstance(spec, RatioFigure) and spec.times is not None:
        top = Value(of.value * spec.times.value, times(of.unit, spec.times.unit))
    if same_dimension(top.unit, by.unit):
        return Value(convert(_number(top), top.unit, by.unit) / by.value, "")
    return Value(_number(top) / by.value, per(top.unit, by.unit))


def _number(value: Value) -> float:
    if value.value is None:
        raise ValueError("a missing value has no number")
    return value.value


def _figure(
    key: str,
    entry: str,
    spec: FigureSpec,
    *,
    shown: Value,
    test: str | None = None,
    values: Sequence[Value] = (),
    median_repeat: int | None = None,
    n: int | None = None,
) -> Figure:
    repeats = tuple(value.value for value in values)
    known = [value for value in repeats if value is not None]
    missing = shown.value is None or not math.isfinite(shown.value)
    places = DEFAULT_PLACES if spec.places is None else spec.places
    return Figure(
        figure=key,
        entry=entry,
        test=test,
        value=None if missing else shown.value,
        unit=next((value.unit for value in (shown, *values) if value.unit), spec.unit or ""),
        places=places,
        shown=MISSING if shown.value is None or missing else fixed(shown.value, places),
        repeats=repeats,
        median_repeat=median_repeat,
        spread=max(known) - min(known) if len(known) > 1 else None,
        n=len(known) if n is None else n,
        why_missing=(shown.why or "it is not a finite number") if missing else "",
    )
