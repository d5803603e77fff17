"""From what a cue of curves asks for to plain data: gaps, events, stretches of time."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from overlays.draw.curve import value_at
from overlays.errors import FigureError, InputError, OutlineError, UnitError
from overlays.kinds._curve_content import Gap, Mark
from overlays.kinds._measured import verdict_words
from overlays.kinds._traces import Line
from overlays.model.figurespec import TimeToFigure
from overlays.model.result import Results
from overlays.numbers import fixed
from overlays.scoring.figures import DEFAULT_PLACES
from overlays.scoring.gap import gap_between
from overlays.scoring.takes.registry import take
from overlays.scoring.takes.view import View
from overlays.units import Quantity, convert, symbol

__all__ = ["gaps_of", "peaks_of", "reached_by", "stretch_of"]


def gaps_of(
    results: Results,
    lines: Sequence[Line],
    pairs: Sequence[Sequence[str]],
    times_s: Sequence[float | None],
    *,
    length_s: float,
    verdict: str,
) -> tuple[Gap, ...]:
    """Return the differences of pairs of entries, at times or, where that is None, at the end.

    Raises
    ------
    OutlineError
        If a pair is no two entries of the cue, has no values then, or no figure to be judged by.
    """
    if len(times_s) not in (0, len(pairs)):
        raise OutlineError(
            f"there are {len(pairs)} gaps and {len(times_s)} times.",
            code="bad-gap",
            field="gap_at",
            remedy='Give one time a gap, "end" for the end, or none.',
        )
    if verdict and not pairs:
        raise OutlineError(
            "there is no gap to be judged.",
            code="bad-gap",
            field="verdict",
            remedy="Name two entries in gap, or take verdict out.",
        )
    places = {line.entry: index for index, line in enumerate(lines)}
    gaps: list[Gap] = []
    for pair, wanted_s in zip(pairs, times_s or [None] * len(pairs), strict=True):
        if len(set(pair)) != 2 or any(entry not in places for entry in pair):
            raise OutlineError(
                f"a gap needs two different entries of this cue; found {', '.join(pair)}.",
                code="bad-gap",
                field="gap",
                remedy=f"Name two of: {', '.join(places)}.",
            )
        first, second = (places[entry] for entry in pair)
        ends_s = min(float(lines[index].time_s[-1]) for index in (first, second))
        at_s = ends_s if wanted_s is None else wanted_s
        values = [value_at(lines[i].time_s, lines[i].values, at_s) for i in (first, second)]
        if values[0] is None or values[1] is None:
            raise OutlineError(
                f"{' and '.join(pair)} have no values at {at_s:g} s.",
                code="no-value-at",
                field="gap" if wanted_s is None else "gap_at",
                remedy=f"Choose a time from 0 to {length_s:g} s at which both were logged.",
            )
        words = _verdict(results, verdict, pair) if verdict else ""
        gaps.append(Gap(first, second, at_s, (values[0], values[1]), words))
    return tuple(gaps)


def _verdict(results: Results, figure: str, pair: Sequence[str]) -> str:
    try:
        gap = gap_between(results, figure, *pair)
    except FigureError as error:
        raise OutlineError(
            f"the gap cannot be judged: {error.message}",
            code="no-figure",
            field="verdict",
            remedy="Name a figure that both entries have.",
        ) from error
    return f"{results.session.spec.figures[figure].label}: {verdict_words(results, gap)}"


def peaks_of(
    lines: Sequence[Line], entries: Sequence[str], unit: str, places: int
) -> tuple[Mark, ...]:
    """Mark the highest value of the named entries' lines.

    Raises
    ------
    OutlineError
        If one of them is not drawn.
    """
    marks: list[Mark] = []
    known = [line.entry for line in lines]
    for entry in entries:
        if entry not in known:
            raise OutlineError(
                f"{entry} is not drawn in this cue.",
                code="not-drawn",
                field="peak",
                remedy=f"Name some of: {', '.join(known)}.",
            )
        line = lines[known.index(entry)]
        at = int(np.nanargmax(line.values))
        value, at_s = float(line.values[at]), float(line.time_s[at])
        note = f"highest, at {fixed(at_s, 1)} s"
        marks.append(Mark(known.index(entry), at_s, value, fixed(value, places), unit, note))
    return tuple(marks)


def reached_by(
    results: Results, lines: Sequence[Line], written: str, test: str, channel: str
) -> tuple[float | None, tuple[Mark, ...]]:
    """Mark when each line reaches a level.

    Parameters
    ----------
    written : str
        A figure that is the time to a level on this test and channel, or a level with its unit.

    Returns
    -------
    level : float or None
        In the unit shown; None where it is another one for each entry.
    marks : tuple of Mark
        One each line that reaches it, the first one first.

    Raises
    ------
    OutlineError
        If it is neither, or no line reaches it.
    """
    spec = results.session.spec
    figure = spec.figures.get(written)
    traces = {line.entry: results.repeats[line.entry, test].median_run.traces for line in lines}
    unit = traces[lines[0].entry][channel].unit
    if figure is None:
        places, shown_unit = 2, "s"
        asked = _level(written, test, channel)
    else:
        own = isinstance(figure, TimeToFigure) and (figure.test, figure.channel or channel) == (
            test,
            channel,
        )
        if not own or not isinstance(figure, TimeToFigure):
            raise _not_a_level(f"the figure {written!r} is not a time to a level in this channel")
        known = (results.figures.get((written, line.entry)) for line in lines)
        settled = next((one.places for one in known if one is not None), DEFAULT_PLACES)
        places = settled if figure.places is None else figure.places
        shown_unit, asked = figure.unit or "s", figure
    share = asked.level.unit == "%" and unit != "%"
    try:
        level = None if share else asked.level.to(unit)
    except UnitError as error:
        raise _not_a_level(error.message.rstrip(".")) from error
    to = f"to {asked.level.value:g} {symbol(asked.level.unit)}" + (" of its peak" if share else "")
    length_s = spec.tests[test].length.to("s")
    marks: list[Mark] = []
    for index, line in enumerate(lines):
        at_s = _time_to(asked, View(traces[line.entry], length_s))
        value = None if at_s is None else value_at(line.time_s, line.values, at_s)
        if at_s is not None and value is not None:
            number = fixed(convert(at_s, "s", shown_unit), places)
            marks.append(Mark(index, at_s, value, number, symbol(shown_unit), to))
    if not marks:
        raise OutlineError(
            f"no entry of this cue comes {to}.",
            code="not-reached",
            field="reached",
            remedy="Choose a level that is reached, or take the option out.",
        )
    return level, tuple(sorted(marks, key=lambda mark: mark.at_s))


def _level(written: str, test: str, channel: str) -> TimeToFigure:
    try:
        level = Quantity.parse(written)
    except InputError as error:
        raise _not_a_level(
            f"{written!r} is neither a figure of the session nor a level with its unit"
        ) from error
    return TimeToFigure(
        label="level", take="time_to", test=test, channel=channel, level=level, gaps="leave out"
    )


def _not_a_level(why: str) -> OutlineError:
    return OutlineError(
        f"{why}.",
        code="bad-level",
        field="reached",
        remedy='Name a figure that takes "time_to", or write a level like "40 N*m".',
    )


def _time_to(figure: TimeToFigure, view: View) -> float | None:
    try:
        return take(figure, view)[0]
    except FigureError:
        return None  # this run does not reach the level: it has no mark


def stretch_of(
    written: Sequence[Quantity], length_s: float, *, field: str, least_s: float
) -> tuple[float, float]:
    """Return a stretch of the run in seconds.

    Raises
    ------
    OutlineError
        If it leaves the run, or is shorter than `least_s`.
    """
    start_s, end_s = (time.to("s") for time in written)
    inside = min(start_s, end_s) >= 0 and max(start_s, end_s) <= length_s
    if inside and end_s - start_s >= least_s:
        return start_s, end_s
    raise OutlineError(
        f"found {start_s:g} s to {end_s:g} s; expected two times in order, from 0 to "
        f"{length_s:g} s.",
        code="bad-stretch",
        field=field,
        remedy=f'Write it like {field} = ["1 s", "2 s"].',
    )
