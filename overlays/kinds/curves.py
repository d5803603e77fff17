"""Curves: the median runs of a test drawn against time, values on flags, the gap called out."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Annotated, ClassVar

from pydantic import Field

from overlays.draw.curve import value_at
from overlays.draw.patch import Scene
from overlays.errors import OutlineError
from overlays.kinds._curves_scene import CurvesContent, CurvesScene, Gap, Pace, timing
from overlays.kinds._traces import Line, median_line, runs_text
from overlays.kinds.base import Overlay
from overlays.model.clip import Stage
from overlays.model.result import Results
from overlays.model.spec import TimeField
from overlays.numbers import fixed
from overlays.style.house import Style
from overlays.units import symbol

__all__ = ["Curves"]


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
    gap : (str, str)
        Two entries whose difference is called out once the curves are drawn.
    gap_at : time
        Where it is called out; at the end where it is left out.
    title : str
        Instead of the test's label.
    """

    kind: ClassVar[str] = "curves"

    test: str
    channel: str = ""
    entries: tuple[str, ...] = ()
    pace: Pace = "live"
    gap: Annotated[tuple[str, ...], Field(min_length=2, max_length=2)] = ()
    gap_at: TimeField | None = None
    title: str = ""

    def names(self) -> Iterable[tuple[str, Sequence[str], str]]:
        """Return what the options name."""
        return (
            ("test", (self.test,), "tests"),
            ("channel", (self.channel,) if self.channel else (), "channels"),
            ("entries", self.entries, "entries"),
            ("gap", self.gap, "entries"),
        )

    def content(self, results: Results) -> CurvesContent:
        """Take the median runs' traces. Raises `OutlineError` where one is not there."""
        spec = results.session.spec
        test = spec.tests[self.test]
        channel = self.channel or test.channels[0]
        entries = self.entries or tuple(
            key for key in spec.entries if (key, self.test) in results.repeats
        )
        length_s = test.length.to("s")
        lines = tuple(
            median_line(results, entry, self.test, channel, length_s) for entry in entries
        )
        repeats = [results.repeats[entry, self.test] for entry in entries]
        traces = [item.median_run.traces[channel] for item in repeats]
        unit = symbol(traces[0].unit)
        label = spec.channels[channel].label
        steps = tuple(dict.fromkeys(step for trace in traces for step in trace.steps))
        return CurvesContent(
            figures=(),
            runs=tuple(item.median_run.ref.file for item in repeats),
            title=self.title or test.label,
            caption=(f"{label}, {unit}" if unit else label, runs_text(repeats), *steps),
            unit=unit,
            places=spec.channels[channel].places,
            length_s=length_s,
            pace=self.pace,
            lines=lines,
            gap=self._gap(lines, length_s),
        )

    def _gap(self, lines: Sequence[Line], length_s: float) -> Gap | None:
        if not self.gap:
            return None
        places = {line.entry: index for index, line in enumerate(lines)}
        missing = [entry for entry in self.gap if entry not in places]
        if missing or len(set(self.gap)) != 2:
            raise OutlineError(
                f"a gap needs two different entries of this cue; found {', '.join(self.gap)}.",
                code="bad-gap",
                field="gap",
                remedy=f"Name two of: {', '.join(places)}.",
            )
        first, second = (places[entry] for entry in self.gap)
        ends = min(float(lines[index].time_s[-1]) for index in (first, second))
        at_s = ends if self.gap_at is None else self.gap_at.to("s")
        values = [value_at(lines[i].time_s, lines[i].values, at_s) for i in (first, second)]
        if values[0] is None or values[1] is None:
            raise OutlineError(
                f"{' and '.join(self.gap)} have no values at {at_s:g} s.",
                code="no-value-at",
                field="gap_at" if self.gap_at else "gap",
                remedy=f"Choose a time from 0 to {length_s:g} s at which both were logged.",
            )
        return Gap(first, second, at_s, (values[0], values[1]))

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
        """Say what is drawn, the values at the end, and the gap."""
        unit = f" {content.unit}" if content.unit else ""
        ends = ", ".join(
            f"{line.name} {fixed(line.last, content.places)}{unit}" for line in content.lines
        )
        text = f"{content.title}: {'; '.join(content.caption)}. At the end: {ends}."
        if content.gap is not None:
            gap = content.gap
            names = (content.lines[gap.first].name, content.lines[gap.second].name)
            size = fixed(gap.size(content.places), content.places)
            text += f" At {gap.at_s:g} s {names[0]} and {names[1]} are {size}{unit} apart."
        return text

    @classmethod
    def frame_at(cls, content: CurvesContent, stage: Stage, style: Style, run_s: float) -> int:
        """Return the first frame on which the curves have come to a time of the run."""
        return timing(content, stage, style=style).frame_at(run_s, content, stage)

    @classmethod
    def natural_s(cls, content: CurvesContent) -> float:
        """Return the time for axes, the run at live pace, a gap, and a look at the end."""
        run = content.length_s if content.pace == "live" else min(content.length_s, 8.0)
        return run + 1.0 + (2.0 if content.gap else 0.0) + 2.0
