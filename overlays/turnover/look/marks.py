"""Where figures are taken in a trace: windows, moments, levels, and what counts as zero."""

from __future__ import annotations

from dataclasses import dataclass

from overlays.model.figurespec import (
    AtFigure,
    DurationFigure,
    FadeFigure,
    SettledFigure,
    TimeToFigure,
    TraceFigure,
    WindowFigure,
    WorkFigure,
)
from overlays.model.session import SessionSpec, TestSpec
from overlays.model.spec import Key
from overlays.units import Quantity, same_dimension

__all__ = ["Mark", "channels_looked_at", "marks_of"]


@dataclass(frozen=True, slots=True)
class Mark:
    """What one figure, or the zero, is taken from on one channel.

    Parameters
    ----------
    label : str
        The figure's label, or what kind of zero it is.
    zero : bool
        Whether it is a zero window.
    main : bool
        Whether the figure is, or goes into, the test's main one.
    windows : tuple of (float, float)
        In seconds from the trigger.
    declared : bool
        False where the session names no window and the whole test counts.
    at_s : float or None
        The moment, where the figure is a value at a time.
    level : float or None
        In the channel's unit as shown; None where there is none or it is a share of each run's own
        peak.
    """

    label: str
    zero: bool = False
    main: bool = False
    windows: tuple[tuple[float, float], ...] = ()
    declared: bool = True
    at_s: float | None = None
    level: float | None = None


def channels_looked_at(spec: SessionSpec, test: str) -> tuple[str, ...]:
    """Return the channels of a test that its figures are taken from, the main figure's first.

    Where no figure of the test is taken from a trace, its first channel.
    """
    declared = spec.tests[test]
    found: dict[str, None] = {}
    order = sorted(spec.figures, key=lambda key: key not in _parts(spec, declared.main))
    for key in order:
        figure = spec.figures[key]
        if isinstance(figure, TraceFigure) and figure.test == test:
            found.setdefault(figure.channel or declared.channels[0])
            if isinstance(figure, WorkFigure) and figure.along is not None:
                found.setdefault(figure.along)
    return tuple(found) or declared.channels[:1]


def _parts(spec: SessionSpec, main: str) -> set[str]:
    """Return a figure and all it is made of."""
    parts: set[str] = set()
    todo = [main]
    while todo:
        key = todo.pop()
        if key not in parts:
            parts.add(key)
            todo += spec.parts_of(key)
    return parts


def marks_of(spec: SessionSpec, test: str, channel: Key) -> tuple[Mark, ...]:
    """Return what is to be marked on a channel's traces: the zero first, then figures in order."""
    declared = spec.tests[test]
    marks = list(_zeros(declared, channel))
    main = _parts(spec, declared.main)
    for key, figure in spec.figures.items():
        if not isinstance(figure, TraceFigure) or figure.test != test:
            continue
        along = isinstance(figure, WorkFigure) and figure.along == channel
        if along or (figure.channel or declared.channels[0]) == channel:
            marks.append(_mark(spec, figure, channel, main=key in main))
    return tuple(marks)


def _zeros(test: TestSpec, channel: str) -> list[Mark]:
    zero = test.zero
    if zero is None or channel not in zero.channels:
        return []
    marks = [Mark("zero", zero=True, windows=((zero.start.to("s"), zero.end.to("s")),))]
    if zero.after_start is not None and zero.after_end is not None:
        window = (zero.after_start.to("s"), zero.after_end.to("s"))
        marks.append(Mark("zero after", zero=True, windows=(window,)))
    return marks


def _mark(spec: SessionSpec, figure: TraceFigure, channel: str, *, main: bool) -> Mark:
    if isinstance(figure, AtFigure):
        return Mark(figure.label, main=main, at_s=figure.at.to("s"))
    if not isinstance(figure, WindowFigure):
        return Mark(figure.label, main=main)
    start_s = figure.start.to("s") if figure.start else 0.0
    end_s = (figure.end or spec.tests[figure.test].length).to("s")
    windows = [(start_s, end_s)]
    if isinstance(figure, FadeFigure):
        windows.append((figure.then_start.to("s"), figure.then_end.to("s")))
    if isinstance(figure, SettledFigure):
        windows = [(end_s - figure.over.to("s"), end_s)]
    level = None
    if isinstance(figure, TimeToFigure | DurationFigure):
        level = _level(figure.level, spec.channels[channel].shown_unit)
    return Mark(
        figure.label,
        main=main,
        windows=tuple(windows),
        declared=figure.start is not None or figure.end is not None,
        level=level,
    )


def _level(level: Quantity, unit: str) -> float | None:
    share = same_dimension(level.unit, "%") and not same_dimension(unit, "%")
    return None if share else level.to(unit)
