"""How sure a figure is: Type A from its repeats, the instrument, combined and expanded (GUM)."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from overlays.model.figurespec import (
    AreaFigure,
    DifferenceFigure,
    ImpulseFigure,
    PairFigure,
    TraceFigure,
    WindowFigure,
    WorkFigure,
)
from overlays.model.result import Figure, Results
from overlays.model.trustspec import InstrumentSpec
from overlays.scoring.spread import Spread, coverage_factor, spread_of
from overlays.units import convert, convert_difference, difference_unit, times

__all__ = ["Trust", "trust_of"]

# Takes whose value is a value of the channel, and so has the channel's error.
_LEVELS = {"peak", "minimum", "mean", "percentile", "at", "settled"}
# Takes that are differences of two values of the channel: what is fixed in its error cancels.
_DIFFERENCES = {"range", "slope"}
_ROOT_3 = math.sqrt(3)

# Where an uncertainty comes from → its signed standard contribution in the figure's unit. What
# comes from one source moves everything together, so contributions add within a source and by
# squares between sources (GUM 5.2.2).
_Sources = Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Trust:
    """How sure a figure of an entry is; all in the figure's unit.

    Parameters
    ----------
    figure, entry : str
        Keys.
    unit : str
        As a difference has it.
    spread : Spread or None
        Of the repeats; None without any.
    type_a : float or None
        Standard uncertainty from the repeats (GUM 4.2.3), or of what the figure is made of
        (GUM 5.1.2); None where nothing was repeated.
    instrument : float or None
        Standard uncertainty of the instrument; None where the session gives none.
    combined : float or None
        Of those that are known.
    dof : float
        Effective degrees of freedom, by Welch-Satterthwaite (GUM G.4.1).
    expanded : float or None
        For 95 % coverage, by Student's factor (GUM G.3); None where the repeats are unknown, for
        then it would claim too much.
    """

    figure: str
    entry: str
    unit: str
    spread: Spread | None
    type_a: float | None
    instrument: float | None
    combined: float | None
    dof: float
    expanded: float | None


def trust_of(results: Results, key: str, entry: str) -> Trust:
    """Return how sure a figure of an entry is."""
    figure = results.figures[key, entry]
    work = _Work(results, entry)
    type_a, dof = work.type_a(key)
    sources = work.instrument(key)
    instrument = _size(sources) if sources else None
    known = [part for part in (type_a, instrument) if part is not None]
    combined = math.hypot(*known) if known else None
    effective = math.inf
    if type_a and combined:
        effective = dof * (combined / type_a) ** 4
    expanded = None
    if type_a is not None and combined is not None:
        expanded = coverage_factor(effective) * combined
    return Trust(
        figure=key,
        entry=entry,
        unit=difference_unit(figure.unit),
        spread=spread_of(figure.known) if figure.known else None,
        type_a=type_a,
        instrument=instrument,
        combined=combined,
        dof=effective,
        expanded=expanded,
    )


def _size(sources: _Sources) -> float:
    return math.hypot(*sources.values())


class _Work:
    """Uncertainties of one entry's figures."""

    def __init__(self, results: Results, entry: str) -> None:
        self.results = results
        self.spec = results.session.spec
        self.entry = entry

    def _figure(self, key: str) -> Figure:
        return self.results.figures[key, self.entry]

    def type_a(self, key: str) -> tuple[float | None, float]:
        """Return the Type A uncertainty of a figure and its degrees of freedom."""
        figure = self._figure(key)
        if len(figure.known) > 1:
            return spread_of(figure.known).type_a, len(figure.known) - 1
        spec = self.spec.figures[key]
        if figure.known or not isinstance(spec, PairFigure) or figure.value is None:
            return None, math.inf
        # Tests are run apart from each other, so what they add is independent (GUM 5.1.2).
        parts: list[tuple[float, float]] = []
        for name, slope in self._slopes(spec, figure.value).items():
            if name in self.spec.figures:
                part, dof = self.type_a(name)
                if part is None:
                    return None, math.inf
                parts.append((abs(slope) * part, dof))
        combined = math.hypot(*(part for part, _ in parts)) if parts else None
        if not combined:
            return combined, math.inf
        weights = sum(part**4 / dof for part, dof in parts)
        return combined, combined**4 / weights if weights else math.inf

    def instrument(self, key: str) -> _Sources:
        """Return what the instruments add to a figure, by source; empty where none is declared."""
        spec, figure = self.spec.figures[key], self._figure(key)
        if figure.value is None:
            return {}
        if isinstance(spec, TraceFigure):
            return self._of_trace(spec, figure)
        if not isinstance(spec, PairFigure):
            return {}
        total: dict[str, float] = {}
        for name, slope in self._slopes(spec, figure.value).items():
            for source, part in self.instrument(name).items() if name in self.spec.figures else ():
                total[source] = total.get(source, 0.0) + slope * part
        return total

    def _slopes(self, spec: PairFigure, value: float) -> dict[str, float]:
        """Return how much the figure moves when an operand moves by one of its own units."""
        if isinstance(spec, DifferenceFigure):
            unit = self._unit(spec.of)
            into = convert_difference(1.0, unit, spec.unit or unit)
            other = convert_difference(1.0, self._unit(spec.by), unit)
            slopes = [(spec.of, into), (spec.by, -into * other)]
        else:
            top, bottom = self._value(spec.of), self._value(spec.by)
            slopes = [
                (spec.of, value / top if top else 0.0),
                (spec.by, -value / bottom if bottom else 0.0),
            ]
        total: dict[str, float] = {}
        for name, slope in slopes:
            total[name] = total.get(name, 0.0) + slope
        return total

    def _unit(self, name: str) -> str:
        if name in self.spec.figures:
            return self._figure(name).unit
        return self.spec.entries[self.entry].attributes[name].unit

    def _value(self, name: str) -> float:
        if name in self.spec.figures:
            return self._figure(name).value or 0.0
        return self.spec.entries[self.entry].attributes[name].value

    def _of_trace(self, spec: TraceFigure, figure: Figure) -> _Sources:
        channel = spec.channel or self.spec.tests[spec.test].channels[0]
        declared = self.spec.channels[channel]
        value = abs(figure.value or 0.0)
        if declared.instrument is None:
            return {}
        gain, fixed_part = _standard(declared.instrument, declared.shown_unit)
        sources = {f"{channel}, share of the reading": gain * value}
        if spec.take in _LEVELS:
            offset = convert_difference(fixed_part, declared.shown_unit, figure.unit)
            return sources | {f"{channel}, fixed": offset}
        if isinstance(spec, AreaFigure | ImpulseFigure):
            unit = times(declared.shown_unit, "s")
            area = fixed_part * self._window_s(spec)
            return sources | {f"{channel}, fixed": convert(area, unit, figure.unit)}
        if isinstance(spec, WorkFigure) and spec.along is not None:
            along = self.spec.channels[spec.along]
            if along.instrument is not None:
                share, _ = _standard(along.instrument, along.shown_unit)
                sources[f"{spec.along}, share of the reading"] = share * value
            return sources
        # Times and shares hardly move with the instrument's error.
        return sources if spec.take in _DIFFERENCES or isinstance(spec, WorkFigure) else {}

    def _window_s(self, spec: WindowFigure) -> float:
        start_s = spec.start.to("s") if spec.start else 0.0
        end_s = (spec.end or self.spec.tests[spec.test].length).to("s")
        return end_s - start_s


def _standard(instrument: InstrumentSpec, unit: str) -> tuple[float, float]:
    """Return the standard uncertainties that go with the reading, and that are fixed (in `unit`).

    Limits of error are taken as a rectangular distribution, a/√3 (GUM 4.3.7).
    """
    divisor = {"limits": _ROOT_3, "k = 1": 1.0, "k = 2": 2.0}[instrument.stated]
    gain = instrument.of_reading.to("") if instrument.of_reading else 0.0
    parts = []
    if instrument.of_range and instrument.range:
        whole = convert_difference(instrument.range.value, instrument.range.unit, unit)
        parts.append(instrument.of_range.to("") * whole)
    if instrument.fixed:
        parts.append(convert_difference(instrument.fixed.value, instrument.fixed.unit, unit))
    return gain / divisor, math.hypot(*parts) / divisor if parts else 0.0
