"""Readout: one value as it is being measured, set large, and the highest one so far."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Annotated, ClassVar

import numpy as np
from pydantic import Field

from overlays.draw.patch import Scene
from overlays.kinds._curve_content import CurvesContent, Pace
from overlays.kinds._figures import shown_figure
from overlays.kinds._readout_content import Between, Hold, ReadoutContent
from overlays.kinds._readout_scene import ReadoutScene
from overlays.kinds._traces import Line, left_out_text, median_line, runs_text
from overlays.kinds.base import Overlay
from overlays.model.clip import Stage
from overlays.model.figurespec import MinimumFigure, PeakFigure
from overlays.model.result import Figure, Results
from overlays.model.trace import Trace
from overlays.numbers import fixed
from overlays.style.house import Style
from overlays.units import symbol

__all__ = ["Readout"]


@dataclass(frozen=True, kw_only=True)
class Readout(Overlay[ReadoutContent]):
    """The value of one channel as it is being measured, in an entry's median run.

    At ``live`` pace it is in step with a curves overlay of the same test that begins with it.

    Parameters
    ----------
    entry : str
        Whose run it is.
    test : str
        The test.
    channel : str
        The channel; the test's first where it is left out.
    pace : {"live", "fit"}
        ``live`` reads one second of the run in one second, ``fit`` fills the cue.
    hold : {"highest", "lowest", "off"}
        ``highest`` or ``lowest``: the value so far that is left standing, with its time; ``off``
        leaves none.
    between : {"straight", "step"}
        What is read between two samples: on the ``straight`` line that curves are drawn with, or
        the former one's value until the next one comes, a ``step``.
    refresh : int
        How often the digits change in a second, at most; the pointer goes with every frame.
    figure : str
        A figure of the entry that is set beside them once the run is over.
    title : str
        Instead of the entry's name.
    """

    kind: ClassVar[str] = "readout"

    entry: str
    test: str
    channel: str = ""
    pace: Pace = "live"
    hold: Hold = "highest"
    between: Between = "straight"
    refresh: Annotated[int, Field(ge=1, le=240)] = 5
    figure: str = ""
    title: str = ""

    def names(self) -> Iterable[tuple[str, Sequence[str], str]]:
        """Return what the options name."""
        return (
            ("entry", (self.entry,), "entries"),
            ("test", (self.test,), "tests"),
            ("channel", (self.channel,) if self.channel else (), "channels"),
            ("figure", (self.figure,) if self.figure else (), "figures"),
        )

    def content(self, results: Results) -> ReadoutContent:
        """Take the median run's trace.

        Raises
        ------
        OutlineError
            If there is no such run, it has no samples, or the entry has not the figure.
        """
        curve = self._curve(results)
        held = self._held_figure(results, curve.unit)
        figure = shown_figure(results, self.figure, self.entry) if self.figure else None
        keys = dict.fromkeys(
            (key, self.entry)
            for key in (held.figure if held is not None else "", self.figure)
            if key
        )
        return ReadoutContent(
            figures=tuple(keys),
            runs=curve.runs,
            curve=curve,
            hold=self.hold,
            held_places=curve.places if held is None else held.places,
            between=self.between,
            refresh=self.refresh,
            figure=figure,
        )

    def _curve(self, results: Results) -> CurvesContent:
        spec = results.session.spec
        test = spec.tests[self.test]
        channel = self.channel or test.channels[0]
        length_s = test.length.to("s")
        line = median_line(results, self.entry, self.test, channel, length_s, field="entry")
        repeats = (results.repeats[self.entry, self.test],)
        trace = repeats[0].median_run.traces[channel]
        if self.between == "step":
            line = _stepped(line, trace)
        left_out = left_out_text(results, repeats)
        return CurvesContent(
            figures=(),
            runs=(repeats[0].median_run.ref.file,),
            title=self.title or line.name,
            caption=(
                test.label,
                spec.channels[channel].label,
                runs_text(repeats),
                *(("each sample stands until the next",) if self.between == "step" else ()),
                *trace.steps,
                *((left_out,) if left_out else ()),
            ),
            unit=symbol(trace.unit),
            places=spec.channels[channel].places,
            length_s=length_s,
            pace=self.pace,
            lines=(line,),
        )

    def _held_figure(self, results: Results, unit: str) -> Figure | None:
        """Return the figure of the session that is the value held, so that both are one number."""
        spec, take = results.session.spec, {"highest": PeakFigure, "lowest": MinimumFigure}
        if self.hold == "off":
            return None
        first = spec.tests[self.test].channels[0]
        for key, one in spec.figures.items():
            figure = results.figures.get((key, self.entry))
            if (
                isinstance(one, take[self.hold])
                and (one.test, one.channel or first) == (self.test, self.channel or first)
                and one.start is None
                and one.end is None
                and figure is not None
                and figure.value is not None
                and symbol(figure.unit) == unit
            ):
                return figure
        return None

    @classmethod
    def lay_out(cls, content: ReadoutContent, stage: Stage, style: Style) -> Scene:
        """Draw the rule, the digits and the pointer."""
        return ReadoutScene(content, stage, style)

    @classmethod
    def check_length(cls, content: ReadoutContent, stage: Stage) -> None:
        """Raise `OutlineError` if the run at live pace does not fit the cue."""
        content.timing(stage, None)

    @classmethod
    def describe(cls, content: ReadoutContent) -> str:
        """Say what is read, where there is no value, and the values at the end."""
        curve, measured = content.curve, content.measured
        unit = f" {curve.unit}" if curve.unit else ""
        last, held = measured.at(curve.length_s), measured.held(curve.length_s)
        sentences = [f"{curve.title}: {'; '.join(curve.caption)}"]
        gaps = ", ".join(f"from {start:.4g} s to {end:.4g} s" for start, end in measured.gaps[:3])
        more = " and later" if len(measured.gaps) > 3 else ""
        sentences += [f"No value {gaps}{more}"] if gaps else []
        read = "no value" if last is None else f"{fixed(last, curve.places)}{unit}"
        sentences.append(f"At {curve.length_s:g} s: {read}")
        if held is not None:
            value, at_s = held
            number = fixed(value, content.held_places)
            sentences.append(f"{content.hold.capitalize()}: {number}{unit}, at {at_s:.4g} s")
        if content.figure is not None:
            figure = content.figure
            sentences.append(f"{content.figure_says}: {figure.text} {figure.unit}".rstrip())
        return ". ".join(sentences) + "."

    @classmethod
    def frame_at(cls, content: ReadoutContent, stage: Stage, style: Style, run_s: float) -> int:
        """Return the first frame on which the pointer has come to a time of the run."""
        return content.timing(stage, style).frame_at(run_s)

    @classmethod
    def in_step(cls, content: ReadoutContent) -> tuple[str, ...]:
        """Return the log of the run that is read."""
        return content.runs

    @classmethod
    def natural_s(cls, content: ReadoutContent) -> float:
        """Return the time for the rule, the run at live pace, and a look at the end."""
        length_s = content.curve.length_s
        run = length_s if content.curve.pace == "live" else min(length_s, 8.0)
        return min(60.0, run + 3.0 + (1.5 if content.figure is not None else 0.0))


def _stepped(line: Line, trace: Trace) -> Line:
    """Give the two ends of a line, interpolated where no sample lies, the sample before them."""
    values = line.values.copy()
    for end in (0, -1):
        place = int(np.searchsorted(trace.time_s, line.time_s[end], side="right")) - 1
        values[end] = trace.values[place]
    values.setflags(write=False)
    return replace(line, values=values)
