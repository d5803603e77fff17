"""What a readout shows, as plain data: one trace, and what is read of it at any time of the run."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

import numpy as np

from overlays.draw.axis import nice_ticks
from overlays.draw.curve import value_at
from overlays.kinds._curve_content import CurvesContent
from overlays.kinds._curve_timing import Timing, timing
from overlays.kinds._figures import Shown
from overlays.kinds._traces import Line
from overlays.kinds.base import Content
from overlays.model.clip import Stage
from overlays.numbers import fixed
from overlays.style.house import Style

__all__ = ["Between", "Hold", "Measured", "Readings", "ReadoutContent"]

Hold = Literal["highest", "lowest", "off"]
Between = Literal["straight", "step"]

# How far, in usual steps, a record may stop short of the run's end and still have a value there,
# as for a figure's window.
_SLACK_STEPS = 1.5
# How much longer is looked at a figure that comes at the end.
_FIGURE_S = 1.5
_MOST_PLACES = 3


@dataclass(frozen=True, slots=True, eq=False)
class ReadoutContent(Content):
    """What a readout shows.

    Parameters
    ----------
    curve : CurvesContent
        What a curves overlay of the one trace would show: whose, of what, how it was measured, at
        which pace.
    hold : {"highest", "lowest", "off"}
        Which value so far is left standing.
    held_places : int
        Its decimals: those of the figure that it is, where the session has that.
    between : {"straight", "step"}
        Whether a value between two samples lies on the line that joins them, or is the former's.
    refresh : int
        How often the digits change in a second, at most.
    figure : Shown or None
        A figure of the entry, set beside them once the run is over.
    """

    curve: CurvesContent
    hold: Hold
    held_places: int
    between: Between
    refresh: int
    figure: Shown | None = None

    @property
    def line(self) -> Line:
        """The trace."""
        return self.curve.lines[0]

    @property
    def figure_says(self) -> str:
        """What the figure is called, and what must be said beside it; empty without one."""
        parts = (self.figure.label, self.figure.note) if self.figure is not None else ()
        return ", ".join(part for part in parts if part)

    def timing(self, stage: Stage, style: Style | None) -> Timing:
        """Share frames out as curves do. Raises `OutlineError` where the run has no room."""
        look_s = _FIGURE_S if self.figure is not None else 0.0
        return timing(self.curve, stage, style=style, look_s=look_s)

    @property
    def measured(self) -> Measured:
        """What is read of the trace."""
        return Measured(self)

    @property
    def values(self) -> tuple[str, ...]:
        """The value at the end of the run, and the one that is held."""
        measured, texts = self.measured, []
        last, held = measured.at(self.curve.length_s), measured.held(self.curve.length_s)
        if last is not None:
            texts.append(fixed(last, self.curve.places))
        if held is not None:
            texts.append(fixed(held[0], self.held_places))
        return tuple(texts)


class Measured:
    """Reads a trace at times of the run: its value, and the highest or lowest one so far."""

    def __init__(self, content: ReadoutContent) -> None:
        line = content.line
        self._time_s, self._values = line.time_s, line.values
        self._step, self._hold = content.between == "step", content.hold
        steps = np.diff(line.time_s)
        self._slack_s = _SLACK_STEPS * float(np.median(steps)) if len(steps) else 0.0
        self._sign = -1.0 if content.hold == "lowest" else 1.0
        signed = self._sign * np.where(np.isfinite(line.values), line.values, -self._sign * np.inf)
        before = np.concatenate([[-np.inf], np.maximum.accumulate(signed)[:-1]])
        # Of equal values the first one is held.
        self._best = np.maximum.accumulate(np.where(signed > before, np.arange(len(signed)), -1))

    def at(self, at_s: float) -> float | None:
        """Return the value at a time; None where nothing was measured: there is a gap."""
        end_s = float(self._time_s[-1])
        if end_s < at_s <= end_s + self._slack_s:
            at_s = end_s
        if not self._step:
            return value_at(self._time_s, self._values, at_s)
        place = int(np.searchsorted(self._time_s, at_s, side="right")) - 1
        if place < 0 or at_s > end_s:
            return None
        # A gap begins behind the last sample before it, however long that would have stood.
        goes_on = at_s == self._time_s[place] or np.isfinite(self._values[place + 1])
        return float(self._values[place]) if goes_on and np.isfinite(self._values[place]) else None

    def held(self, at_s: float) -> tuple[float, float] | None:
        """Return the highest (or lowest) value up to a time, and when it was; None before any."""
        if self._hold == "off":
            return None
        place = int(np.searchsorted(self._time_s, at_s, side="right")) - 1
        best = int(self._best[place]) if place >= 0 else -1
        now = self.at(at_s)
        if best < 0:
            return None if now is None else (now, at_s)
        held = float(self._values[best])
        if now is not None and self._sign * now > self._sign * held:
            return now, at_s
        return held, float(self._time_s[best])

    @property
    def gaps(self) -> tuple[tuple[float, float], ...]:
        """Where the trace has no value between two that it has, from when to when in seconds."""
        good = np.flatnonzero(np.isfinite(self._values))
        ends = np.flatnonzero(np.diff(good) > 1)
        return tuple(
            (float(self._time_s[good[i]]), float(self._time_s[good[i + 1]])) for i in ends.tolist()
        )


class Readings:
    """Which time of the run a frame of the cue shows: the pointer's, and that of the digits.

    The pointer goes with every frame. Digits that change with each cannot be read, so that they
    show the value at round times, at most `ReadoutContent.refresh` of them a second; which time
    it is stands beside them. How often digits may change and still be read: common practice, no
    source.

    Attributes
    ----------
    places : int
        Decimals of the times.
    """

    def __init__(self, content: ReadoutContent, timing: Timing, rate: float) -> None:
        self._timing, self._length_s = timing, content.curve.length_s
        every = content.refresh >= rate
        self.places = _time_places(self._length_s, every_frame=every)
        most = max(1, int(content.refresh * timing.data.frames / rate))
        least = Decimal(1).scaleb(-self.places)
        self._step = None if every else max(least, nice_ticks(0.0, self._length_s, most).step)

    def pointer_s(self, frame: int) -> float | None:
        """Return the time that the pointer shows; None before the trigger."""
        if frame < self._timing.data.first - 1:
            return None
        return self._timing.elapsed_s(frame)

    def digits_s(self, frame: int) -> float | None:
        """Return the time whose value the digits show; None before the trigger."""
        at_s = self.pointer_s(frame)
        if at_s is None or self._step is None or at_s >= self._length_s:
            return at_s
        return float(int(at_s / float(self._step) + 1e-6) * self._step)


def _time_places(length_s: float, *, every_frame: bool) -> int:
    """Return the decimals of times, which do not depend on how long the cue is."""
    written = f"{length_s:.{_MOST_PLACES}f}".rstrip("0").partition(".")[2]
    fine = next((n for n, least_s in ((1, 1.0), (2, 0.1)) if length_s >= least_s), _MOST_PLACES)
    return max(len(written), fine, 2 if every_frame else 0)
