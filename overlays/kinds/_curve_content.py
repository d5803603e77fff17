"""What a curves overlay shows, as plain data."""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

import numpy as np

from overlays.draw.curve import value_at
from overlays.kinds._traces import Line, Pale
from overlays.kinds.base import Content
from overlays.numbers import fixed, rounded

__all__ = ["CurvesContent", "Gap", "Mark", "Pace", "Pause", "Reading", "Second", "Step"]

Pace = Literal["live", "fit"]
Step = Literal["inset", "gap", "reading", "closer"]


@dataclass(frozen=True, slots=True)
class Gap:
    """The difference of two lines at a moment.

    Parameters
    ----------
    first, second : int
        Indices of the lines.
    at_s : float
        When.
    values : (float, float)
        The two values there.
    verdict : str
        Whether it is more than the repeats explain, in few words; empty where nobody asked.
    """

    first: int
    second: int
    at_s: float
    values: tuple[float, float]
    verdict: str = ""

    def size(self, places: int) -> Decimal:
        """Return how far apart the two values as shown are: viewers do that subtraction."""
        first, second = (rounded(value, places) for value in self.values)
        return abs(first - second)


@dataclass(frozen=True, slots=True)
class Mark:
    """An event of a line.

    Parameters
    ----------
    line : int
        Index of the line.
    at_s, value : float
        Where it lies.
    number, unit : str
        What is set beside it, as `overlays.numbers.fixed` writes it.
    note : str
        What the event is, in few words.
    """

    line: int
    at_s: float
    value: float
    number: str
    unit: str
    note: str


@dataclass(frozen=True, slots=True)
class Pause:
    """A stop of the drawing: at a time of the run, for some seconds."""

    at_s: float
    hold_s: float


@dataclass(frozen=True, slots=True)
class Reading:
    """A crosshair that goes from one time of the run to another, or stands where they are one."""

    start_s: float
    end_s: float


@dataclass(frozen=True, slots=True)
class Second:
    """Another channel of the only entry, measured on the right.

    Parameters
    ----------
    line : Pale
        Its trace, named after the channel.
    unit : str
        As set on screen.
    places : int
        Decimals of a value.
    """

    line: Pale
    unit: str
    places: int


@dataclass(frozen=True, slots=True, eq=False)
class CurvesContent(Content):
    """What a curves overlay shows.

    Parameters
    ----------
    title : str
        The test, unless the cue says otherwise.
    caption : tuple of str
        Channel and unit, runs, conditioning.
    unit : str
        As set on screen.
    places : int
        Decimals of a value.
    length_s : float
        Seconds across.
    pace : {"live", "fit"}
        One second per second, or as long as the cue allows.
    lines : tuple of Line
        In the order of the cue.
    gaps : tuple of Gap
        What is called out, one after the other.
    marks : tuple of Mark
        Events, which appear when the curve has come to them.
    reached : tuple of Mark
        When lines came to a level, the first one first.
    level : float or None
        That level; None where it is another one for each line.
    before : tuple of Pale
        Earlier runs.
    in_turn : bool
        Whether one line is drawn after the other.
    pause : Pause or None
        Where the drawing stops for a while.
    log : bool
        Whether values are spaced by their logarithms.
    second : Second or None
        Another channel, on the right.
    inset : (float, float) or None
        A stretch shown larger, in seconds of the run.
    reading : Reading or None
        A crosshair.
    closer : (float, float) or None
        A stretch that the axes close in on at last, in seconds of the run.
    """

    title: str
    caption: tuple[str, ...]
    unit: str
    places: int
    length_s: float
    pace: Pace
    lines: tuple[Line, ...]
    gaps: tuple[Gap, ...] = ()
    marks: tuple[Mark, ...] = ()
    reached: tuple[Mark, ...] = ()
    level: float | None = None
    before: tuple[Pale, ...] = ()
    in_turn: bool = False
    pause: Pause | None = None
    log: bool = False
    second: Second | None = None
    inset: tuple[float, float] | None = None
    reading: Reading | None = None
    closer: tuple[float, float] | None = None

    @property
    def values(self) -> tuple[str, ...]:
        """Every line's value where the plot ends; gaps, events and readings if they are seen then.

        They go when the axes close in.
        """
        if self.closer is not None:
            ends = [_shown_at(line, self.closer[1]) for line in self.lines]
            return tuple(fixed(value, self.places) for value in ends if math.isfinite(value))
        texts = [fixed(line.last, self.places) for line in self.lines]
        texts += [fixed(gap.size(self.places), self.places) for gap in self.gaps]
        texts += [mark.number for mark in (*self.marks, *self.reached)]
        if self.second is not None:
            texts.append(fixed(self.second.line.last, self.second.places))
        if self.reading is not None:
            read = [value_at(x.time_s, x.values, self.reading.end_s) for x in self.lines]
            texts += [fixed(value, self.places) for value in read if value is not None]
        return tuple(texts)

    @property
    def drawn(self) -> tuple[Line | Pale, ...]:
        """Everything that is drawn as a curve, to be held to its data."""
        second = (self.second.line,) if self.second is not None else ()
        return (*self.before, *second, *self.lines)

    @property
    def spread(self) -> tuple[float, float]:
        """The least and the greatest value on the left axis."""
        arrays = [line.values for line in self.lines] + [run.values for run in self.before]
        for line in self.lines:
            if line.band is not None:
                arrays += [line.band.low, line.band.high]
        together = np.concatenate(arrays)
        if self.log:
            together = together[together > 0]
        return float(np.nanmin(together)), float(np.nanmax(together))

    @property
    def closer_spread(self) -> tuple[float, float] | None:
        """The least and the greatest value within the stretch the axes close in on."""
        if self.closer is None:
            return None
        found: list[float] = []
        shown = [(line.time_s, line.values) for line in self.lines]
        shown += [(run.time_s, run.values) for run in self.before]
        for band in (line.band for line in self.lines if line.band is not None):
            shown += [(band.time_s, band.low), (band.time_s, band.high)]
        for time_s, values in shown:
            inside = (time_s >= self.closer[0]) & (time_s <= self.closer[1])
            ends = np.interp(self.closer, time_s, values, left=np.nan, right=np.nan)
            found += [*values[inside].tolist(), *ends.tolist()]
        return float(np.nanmin(found)), float(np.nanmax(found))

    @property
    def stops(self) -> tuple[int, ...]:
        """Indices of the gaps that are called out while the drawing pauses at their time."""
        if self.pause is None:
            return ()
        return tuple(i for i, gap in enumerate(self.gaps) if gap.at_s == self.pause.at_s)

    @property
    def steps(self) -> tuple[tuple[Step, int], ...]:
        """What happens once the curves are drawn, in turn: what, and which of its sort."""
        steps: list[tuple[Step, int]] = [("inset", 0)] if self.inset is not None else []
        steps += [("gap", i) for i in range(len(self.gaps)) if i not in self.stops]
        if self.reading is not None:
            steps.append(("reading", 0))
        if self.closer is not None:
            steps.append(("closer", 0))
        return tuple(steps)


def _shown_at(line: Line, at_s: float) -> float:
    """Return what a flag shows at a time: a line that has ended keeps its last value."""
    return float(np.interp(min(at_s, line.time_s[-1]), line.time_s, line.values))
