"""Footnote: how something was measured, what was left out, and what to beware of, in small type."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Annotated, ClassVar

from pydantic import BeforeValidator, Field

from overlays.draw.patch import Scene
from overlays.errors import OutlineError
from overlays.kinds._footnote_scene import FootnoteContent, footnote_scene
from overlays.kinds._traces import fewer_text, left_out_text, runs_text
from overlays.kinds.base import Overlay
from overlays.model.clip import Stage
from overlays.model.result import Results
from overlays.model.run import Repeats
from overlays.model.spec import ShownText
from overlays.style.house import Style

__all__ = ["Footnote"]

# More than this is no footnote: nobody reads it, and the smallest canvas has no room for it.
_MOST_SIGNS = 800
# Signs a second at which quiet words are skimmed and cautions read; common practice, no source.
_SKIMMED_A_S, _READ_A_S = 20.0, 13.0


def _numbers(value: object) -> object:
    """Take one number for a list of one."""
    return value if isinstance(value, list | tuple) else [value]


@dataclass(frozen=True, kw_only=True)
class Footnote(Overlay[FootnoteContent]):
    """A quiet strip at the foot of the picture: method, filter, runs left out, cautions.

    Parameters
    ----------
    test : str
        A test whose method, filters and runs are told as they are in the session: which run is
        shown, whose repeats are fewer than planned, and which runs were left out, with the reason.
    channel : str
        The channel whose filters are told; the test's first where it is left out.
    entries : tuple of str
        Whose runs; all of the session where it is left out.
    text : str
        Own words.
    caution : int or tuple of int
        Which of the session's cautions, counted from 1.
    """

    kind: ClassVar[str] = "footnote"

    test: str = ""
    channel: str = ""
    entries: tuple[str, ...] = ()
    text: ShownText = ""
    caution: Annotated[
        tuple[Annotated[int, Field(ge=1)], ...], BeforeValidator(_numbers), Field(max_length=3)
    ] = ()

    def names(self) -> Iterable[tuple[str, Sequence[str], str]]:
        """Return what the options name."""
        return (
            ("test", (self.test,) if self.test else (), "tests"),
            ("channel", (self.channel,) if self.channel else (), "channels"),
            ("entries", self.entries, "entries"),
        )

    def content(self, results: Results) -> FootnoteContent:
        """Gather what is to be said.

        Raises
        ------
        OutlineError
            If that is nothing, or too much to be read; or a run or caution is not there.
        """
        if not (self.test or self.text.strip() or self.caution):
            raise OutlineError(
                "a footnote without test, text and caution says nothing.",
                code="nothing-to-show",
                field="text",
                remedy='Name a test, or write text = "…".',
            )
        content = FootnoteContent(
            figures=(),
            runs=(),
            said=self._method(results) if self.test else (),
            text=" ".join(self.text.split()),
            cautions=self._cautions(results),
        )
        if content.signs > _MOST_SIGNS:
            raise OutlineError(
                f"the footnote is {content.signs} characters long; expected {_MOST_SIGNS} at most.",
                code="too-much-text",
                field="text" if self.text else "test",
                remedy="Name fewer entries or cautions, or spread them over several cues.",
            )
        return content

    def _method(self, results: Results) -> tuple[str, ...]:
        spec = results.session.spec
        test = spec.tests[self.test]
        channel = self.channel or test.channels[0]
        repeats = self._repeats(results, channel)
        traces = (item.median_run.traces[channel] for item in repeats)
        steps = dict.fromkeys(step for trace in traces for step in trace.steps)
        whose = ", ".join(spec.entries[entry].label for entry in self.entries)
        name = f"{test.label}, {whose}" if whose else test.label
        return (
            f"{name}: {test.counts}" if test.counts else name,
            runs_text(repeats),
            f"{spec.channels[channel].label}: {', '.join(steps) or 'as logged'}",
            *(text for text in (fewer_text(results, repeats), left_out_text(results, repeats))
              if text),
        )  # fmt: skip

    def _repeats(self, results: Results, channel: str) -> tuple[Repeats, ...]:
        wanted = self.entries or tuple(results.session.spec.entries)
        found = []
        for entry in wanted:
            repeats = results.repeats.get((entry, self.test))
            if repeats is not None and channel in repeats.median_run.traces:
                found.append(repeats)
            elif self.entries:
                raise OutlineError(
                    f"there is no run of {entry!r} on test {self.test!r} with channel {channel!r}.",
                    code="no-run",
                    field="entries",
                    remedy="Add the run to runs.csv, or take the entry out of the cue.",
                )
        if not found:
            raise OutlineError(
                f"no entry has a run on test {self.test!r} with channel {channel!r}.",
                code="no-run",
                field="channel" if self.channel else "test",
                remedy="Name a test that has been run, and a channel that was logged in it.",
            )
        return tuple(found)

    def _cautions(self, results: Results) -> tuple[str, ...]:
        known = results.session.spec.episode.cautions
        for number in self.caution:
            if number > len(known):
                raise OutlineError(
                    f"there is no caution {number}; the session has {len(known)}.",
                    code="no-caution",
                    field="caution",
                    remedy="Count them from 1 as they stand in session.toml, or add one there.",
                )
        return tuple(known[number - 1] for number in self.caution)

    @classmethod
    def lay_out(cls, content: FootnoteContent, stage: Stage, style: Style) -> Scene:
        """Set the lines on their strip."""
        return footnote_scene(content, stage, style)

    @classmethod
    def describe(cls, content: FootnoteContent) -> str:
        """Say all of it."""
        said = ["; ".join(content.said), content.text]
        said += [f"Caution: {text}" for text in content.cautions]
        return " ".join(f"{part.rstrip('. ')}." for part in said if part)

    @classmethod
    def natural_s(cls, content: FootnoteContent) -> float:
        """Return the time to come and be read."""
        read = sum(len(text) for text in content.cautions)
        return min(60.0, 2.5 + (content.signs - read) / _SKIMMED_A_S + read / _READ_A_S)
