"""What is to be looked at before the figures of a place are trusted, in words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from overlays.model.session import SessionSpec
from overlays.model.trace import Trace
from overlays.numbers import fixed, typeset
from overlays.scoring.doubted import run_doubts
from overlays.turnover.look.seen import SeenPlace, SeenRun
from overlays.turnover.look.view import ChannelView, TestView, gaps_in_view, in_view
from overlays.units import symbol

__all__ = ["flags_of_place"]


def flags_of_place(spec: SessionSpec, view: TestView, place: SeenPlace) -> Iterator[str]:
    """Yield the flags of a place, those of the place as a whole first.

    Parameters
    ----------
    spec : SessionSpec
        What is declared.
    view : TestView
        The axes of the picture.
    place : SeenPlace
        The runs.

    Yields
    ------
    str
        Without a full stop, beginning in lower case.
    """
    planned = spec.tests[place.test].repeats
    for seen in place.runs:
        if seen.run is None:
            yield f"{seen.name} cannot be shown: {seen.why}"
    if place.used < planned:
        verb = "is" if place.used == 1 else "are"
        yield f"{place.used or 'none'} of {planned} planned runs {verb} used"
    for seen in place.runs:
        if seen.median and place.remark:
            yield f"{seen.name} stands for the median: {place.remark}"
    if place.judged is not None:
        yield from (odd.text for odd in place.judged.flags)
        if place.judged.accepted is False:
            yield f"the repeats do not meet the test's rule: {place.judged.why}"
    for seen in place.runs:
        yield from _of_run(spec, view, seen)


def _of_run(spec: SessionSpec, view: TestView, seen: SeenRun) -> Iterator[str]:
    if seen.run is None:
        return
    for doubt in run_doubts(seen.run, spec):
        yield f"{seen.name}, {doubt}"
    for channel in view.channels:
        if channel.channel in seen.run.traces:
            for flag in _of_trace(spec, view, channel, seen.run.traces[channel.channel]):
                yield f"{seen.name}, {channel.label}: {flag}"
    if seen.ref.use:
        yield from _missing(spec, seen)


def _of_trace(
    spec: SessionSpec, view: TestView, channel: ChannelView, trace: Trace
) -> Iterator[str]:
    mark = spec.episode.decimal_mark
    if gaps := gaps_in_view(trace, view.start_s, view.end_s):
        yield _gaps(gaps, mark)
    time_s, values = in_view(trace, view.start_s, view.end_s)
    finite = values[np.isfinite(values) & (time_s >= view.start_s) & (time_s <= view.end_s)]
    if not finite.size:
        yield "nothing was logged where the picture looks"
        return
    places, unit = spec.channels[channel.channel].places, symbol(channel.unit)
    high, low = float(finite.max()), float(finite.min())
    for beyond, way, furthest in (
        (high > channel.high, "up", high),
        (low < channel.low, "down", low),
    ):
        if beyond:
            number = typeset(fixed(furthest, places), decimal_mark=mark)
            yield f"it leaves the picture, and goes {way} to {number} {unit}".rstrip()


def _gaps(gaps: Sequence[tuple[float, float]], mark: str) -> str:
    start_s, end_s = max(gaps, key=lambda gap: gap[1] - gap[0])
    length, start = (
        typeset(f"{value:.3g}", decimal_mark=mark) for value in (end_s - start_s, start_s)
    )
    if len(gaps) == 1:
        return f"a gap of {length} s from {start} s"
    return f"{len(gaps)} gaps, the longest of {length} s from {start} s"


def _missing(spec: SessionSpec, seen: SeenRun) -> Iterator[str]:
    """Tell which figures a run does not have, together where it is for one reason."""
    missing: dict[str, list[str]] = {}
    for key, value in seen.values.items():
        if value.value is None:
            missing.setdefault(value.why, []).append(f"“{spec.figures[key].label}”")
    for why, labels in missing.items():
        yield f"{seen.name} has no {', '.join(labels)}: {why}"
