"""Curves: the median runs of a test drawn against time, values on flags, gaps called out."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, Any, ClassVar

import numpy as np
from pydantic import BeforeValidator, Field, TypeAdapter

from overlays.draw.patch import Scene
from overlays.errors import OutlineError
from overlays.kinds._curve_asked import gaps_of, peaks_of, reached_by, stretch_of
from overlays.kinds._curve_content import CurvesContent, Pace, Pause, Reading, Second
from overlays.kinds._curve_said import said
from overlays.kinds._curve_timing import timing
from overlays.kinds._curves_scene import CurvesScene
from overlays.kinds._traces import (
    Line,
    left_out_text,
    median_line,
    pale_line,
    runs_text,
    second_line,
)
from overlays.kinds.base import Overlay
from overlays.model.clip import Place, Stage
from overlays.model.result import Results
from overlays.model.spec import TimeField, told
from overlays.style.house import Style
from overlays.units import Quantity, symbol

__all__ = ["Curves"]

_END = "end"
_TIME: TypeAdapter[Quantity] = TypeAdapter(TimeField)


def _pairs(value: object) -> object:
    """Take one pair for a list of one."""
    if isinstance(value, list | tuple) and value and all(isinstance(one, str) for one in value):
        return [value]
    return value


def _times(value: object) -> object:
    """Take one time for a list of one."""
    return value if isinstance(value, list | tuple) else [value]


def _time_or_end(value: object) -> object:
    return None if value == _END else value


def _pause(value: object) -> object:
    """Read ``{at = "2.5 s", hold = "2 s"}``; a time that is none is told by its own field."""
    if value is None or isinstance(value, Pause):
        return value
    if not isinstance(value, Mapping) or set(value) != {"at", "hold"}:
        raise told(
            f"found {value!r}; expected a table with at and hold.",
            code="bad-pause",
            remedy='Write it like pause = { at = "2.5 s", hold = "2 s" }.',
        )
    return Pause(*(_TIME.validate_python(value[key]).to("s") for key in ("at", "hold")))


Pair = Annotated[tuple[str, ...], Field(min_length=2, max_length=2)]
PauseField = Annotated[Any, BeforeValidator(_pause)]


@dataclass(frozen=True, kw_only=True)
class Curves(Overlay[CurvesContent]):
    """Curves of one test.

    Parameters
    ----------
    test : str
        The test.
    channel : str
        The channel; the test's first where it is left out.
    entries : tuple of str
        Which entries; all of the session where it is left out.
    pace : {"live", "fit"}
        ``live`` draws one second of the run in one second, ``fit`` fills the cue.
    in_turn : bool
        Draws one entry after the other, and not all of them together.
    pause : {at, hold}
        Stops the drawing at a time of the run for as long as ``hold`` says, then goes on; a gap
        at that very time is called out meanwhile.
    gap : (str, str) or list of (str, str)
        Two entries whose difference is called out once the curves are drawn; or several such
        pairs, which are called out one after the other.
    gap_at : time or list of time
        Where it is called out; at the end where it is left out. One time a pair; ``"end"`` is the
        end.
    verdict : str
        A figure by whose repeats each gap is judged, in words.
    peak : tuple of str
        Entries whose highest value is marked.
    reached : str
        Marks when each curve reaches a level: ``"40 N*m"``, or the key of a figure that takes
        ``time_to``.
    spread : bool
        Shows the least and the greatest value of the repeats at each time as a band.
    before : tuple of str
        Earlier runs, shown palely behind: ``"alder 1"`` is repeat 1 of an entry, ``"alder"`` the
        median run of another one.
    second : str
        Another channel of the only entry, as a thinner line measured on the right.
    log : bool
        Spaces values by their logarithms; 0 and what is below it are left open then.
    inset : (time, time)
        A stretch of the run shown larger in a window, once the curves are drawn.
    crosshair : time or (time, time)
        A line that stands at a time and reads every curve there; or goes from one time to another.
    closer : (time, time)
        A stretch of the run that both axes close in on, last of all; labels go before they do.
    title : str
        Instead of the test's label.
    """

    kind: ClassVar[str] = "curves"
    places: ClassVar[tuple[Place, ...]] = ("head", "middle", "foot")

    test: str
    channel: str = ""
    entries: tuple[str, ...] = ()
    pace: Pace = "live"
    in_turn: bool = False
    pause: PauseField = None
    gap: Annotated[tuple[Pair, ...], BeforeValidator(_pairs)] = ()
    gap_at: Annotated[
        tuple[Annotated[TimeField | None, BeforeValidator(_time_or_end)], ...],
        BeforeValidator(_times),
    ] = ()
    verdict: str = ""
    peak: tuple[str, ...] = ()
    reached: str = ""
    spread: bool = False
    before: tuple[str, ...] = ()
    second: str = ""
    log: bool = False
    inset: Annotated[tuple[TimeField, ...], Field(min_length=2, max_length=2)] = ()
    crosshair: Annotated[
        tuple[TimeField, ...], BeforeValidator(_times), Field(min_length=1, max_length=2)
    ] = ()
    closer: Annotated[tuple[TimeField, ...], Field(min_length=2, max_length=2)] = ()
    title: str = ""

    def names(self) -> Iterable[tuple[str, Sequence[str], str]]:
        """Return what the options name."""
        return (
            ("test", (self.test,), "tests"),
            ("channel", (self.channel,) if self.channel else (), "channels"),
            ("entries", self.entries, "entries"),
            ("second", (self.second,) if self.second else (), "channels"),
            ("gap", tuple(dict.fromkeys(entry for pair in self.gap for entry in pair)), "entries"),
            ("verdict", (self.verdict,) if self.verdict else (), "figures"),
            ("peak", self.peak, "entries"),
            ("before", tuple(run.partition(" ")[0] for run in self.before), "entries"),
        )

    def content(self, results: Results) -> CurvesContent:
        """Take the median runs' traces. Raises `OutlineError` where one is not there."""
        spec = results.session.spec
        test = spec.tests[self.test]
        channel = self.channel or test.channels[0]
        places = spec.channels[channel].places
        entries = self.entries or tuple(
            key for key in spec.entries if (key, self.test) in results.repeats
        )
        length_s = test.length.to("s")
        lines = tuple(
            median_line(results, entry, self.test, channel, length_s, spread=self.spread)
            for entry in entries
        )
        before = tuple(pale_line(results, run, self.test, channel, length_s) for run in self.before)
        repeats = [results.repeats[entry, self.test] for entry in entries]
        traces = [item.median_run.traces[channel] for item in repeats]
        unit = symbol(traces[0].unit)
        label = spec.channels[channel].label
        steps = tuple(dict.fromkeys(step for trace in traces for step in trace.steps))
        level, reached = (
            reached_by(results, lines, self.reached, self.test, channel)
            if self.reached
            else (None, ())
        )
        times_s = [None if time is None else time.to("s") for time in self.gap_at]
        second = self._other(results, entries, length_s)
        left_out = left_out_text(results, repeats)
        band = ("band: all repeats",) if any(line.band is not None for line in lines) else ()
        return CurvesContent(
            figures=(),
            runs=(*(item.median_run.ref.file for item in repeats), *(run.file for run in before)),
            title=self.title or test.label,
            caption=(
                f"{label}, {unit}" if unit else label,
                *self._named(second),
                runs_text(repeats),
                *band,
                *self._scale(lines),
                *steps,
                *((left_out,) if left_out else ()),
            ),
            unit=unit,
            places=places,
            length_s=length_s,
            pace=self.pace,
            lines=lines,
            gaps=gaps_of(
                results, lines, self.gap, times_s, length_s=length_s, verdict=self.verdict
            ),
            marks=peaks_of(lines, self.peak, unit, places),
            reached=reached,
            level=level,
            before=before,
            in_turn=self.in_turn and len(lines) > 1,
            pause=self._stop(length_s),
            log=self.log,
            second=second,
            inset=self._larger(length_s),
            reading=self._read(length_s),
            closer=self._close_in(lines, length_s),
        )

    def _larger(self, length_s: float) -> tuple[float, float] | None:
        if not self.inset:
            return None
        return stretch_of(self.inset, length_s, field="inset", least_s=length_s / 1000)

    def _close_in(self, lines: Sequence[Line], length_s: float) -> tuple[float, float] | None:
        if not self.closer:
            return None
        if self.log or self.second or self.in_turn:
            raise OutlineError(
                "axes cannot close in with log, second or in_turn.",
                code="bad-closer",
                field="closer",
                remedy="Take out closer, or those; inset shows a stretch larger, too.",
            )
        # Less would be drawn far larger than any plot that was ever sampled for it.
        stretch = stretch_of(self.closer, length_s, field="closer", least_s=length_s / 40)
        for line in lines:
            inside = (line.time_s >= stretch[0]) & (line.time_s <= stretch[1])
            if not np.isfinite(line.values[inside]).any():
                raise OutlineError(
                    f"{line.name} has no samples from {stretch[0]:g} s to {stretch[1]:g} s.",
                    code="no-samples",
                    field="closer",
                    remedy="Choose another stretch, or take the entry out of the cue.",
                )
        return stretch

    def _read(self, length_s: float) -> Reading | None:
        if not self.crosshair:
            return None
        times_s = [time.to("s") for time in self.crosshair]
        if min(times_s) < 0 or max(times_s) > length_s:
            raise OutlineError(
                f"the crosshair leaves the run of {length_s:g} s.",
                code="bad-stretch",
                field="crosshair",
                remedy='Write it like crosshair = "2 s", or crosshair = ["1 s", "3 s"].',
            )
        return Reading(times_s[0], times_s[-1])

    def _scale(self, lines: Sequence[Line]) -> tuple[str, ...]:
        if not self.log:
            return ()
        for line in lines:
            if not (line.values > 0).any():
                raise OutlineError(
                    f"{line.name} has no value above 0, and so no logarithm.",
                    code="no-logarithm",
                    field="log",
                    remedy="Take out log, or the entry.",
                )
        below = any((line.values <= 0).any() for line in lines)
        return ("logarithmic, without 0 and below" if below else "logarithmic",)

    @staticmethod
    def _named(second: Second | None) -> tuple[str, ...]:
        if second is None:
            return ()
        unit = f", {second.unit}" if second.unit else ""
        return (f"{second.line.label}{unit}, on the right",)

    def _other(self, results: Results, entries: Sequence[str], length_s: float) -> Second | None:
        if not self.second:
            return None
        if len(entries) != 1:
            raise OutlineError(
                f"a second channel is for one entry; this cue has {len(entries)}.",
                code="bad-second",
                field="second",
                remedy=f'Write entries = ["{entries[0]}"], or take out second.',
            )
        line, unit = second_line(results, entries[0], self.test, self.second, length_s)
        places = results.session.spec.channels[self.second].places
        return Second(line, symbol(unit), places)

    def _stop(self, length_s: float) -> Pause | None:
        if self.pause is None:
            return None
        if self.in_turn:
            raise OutlineError(
                "entries drawn in turn cannot pause at a time.",
                code="bad-pause",
                field="pause",
                remedy="Take out pause, or in_turn.",
            )
        if not 0 < self.pause.at_s < length_s or not 0 < self.pause.hold_s <= 60:
            raise OutlineError(
                f"found a pause at {self.pause.at_s:g} s for {self.pause.hold_s:g} s; expected "
                f"a time within the run of {length_s:g} s, and a minute at most.",
                code="bad-pause",
                field="pause",
                remedy='Write it like pause = { at = "2.5 s", hold = "2 s" }.',
            )
        return Pause(self.pause.at_s, self.pause.hold_s)

    @classmethod
    def lay_out(cls, content: CurvesContent, stage: Stage, style: Style) -> Scene:
        """Draw the plate, the curves and the flags."""
        return CurvesScene(content, stage, style)

    @classmethod
    def check_length(cls, content: CurvesContent, stage: Stage) -> None:
        """Raise `OutlineError` if curves at live pace do not fit the cue."""
        timing(content, stage, style=None)

    @classmethod
    def describe(cls, content: CurvesContent) -> str:
        """Say what is drawn, the values at the end, events and gaps."""
        return said(content)

    @classmethod
    def frame_at(cls, content: CurvesContent, stage: Stage, style: Style, run_s: float) -> int:
        """Return the first frame on which the curves have come to a time of the run."""
        return timing(content, stage, style=style).frame_at(run_s)

    @classmethod
    def in_step(cls, content: CurvesContent) -> tuple[str, ...]:
        """Return the logs of what is drawn together; of entries drawn in turn only the first."""
        return content.runs[:1] if content.in_turn else content.runs

    @classmethod
    def natural_s(cls, content: CurvesContent) -> float:
        """Return the time for axes, the run at live pace, what comes after, a look at the end."""
        run = content.length_s if content.pace == "live" else min(content.length_s, 8.0)
        run *= len(content.lines) if content.in_turn else 1
        held = content.pause.hold_s if content.pause is not None else 0.0
        read = 2.0 * (len(content.steps) + sum(1 for gap in content.gaps if gap.verdict))
        return min(60.0, run + held + 1.0 + read + 2.0)
