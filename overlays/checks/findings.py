"""Findings: what a check found of a clip, where, and whether the session waives it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from overlays.errors import Problem
from overlays.model.check import CHECKS
from overlays.model.waiverspec import WaiverSpec
from overlays.timecode import Timebase

__all__ = ["Finding", "Verdict", "each_once", "placed", "problems", "waive"]

Verdict = Literal["pass", "fail", "caution"]


@dataclass(frozen=True, slots=True)
class Finding:
    """What one check says of one clip.

    Parameters
    ----------
    check : str
        A name of `overlays.model.check.CHECKS`.
    verdict : {"pass", "fail", "caution"}
        A caution is told but stops nothing.
    message : str
        What was found and what is expected, as a sentence.
    remedy : str
        What to do, as a sentence; empty on a pass.
    cue : str or None
        The clip's cue; None where it is about the whole episode.
    frame : int or None
        Frame of the clip's file, from 0; None where it is about no one frame.
    timecode : str or None
        The same frame on the episode's timeline.
    waived : str
        The session's reason for letting it pass; else empty.

    Raises
    ------
    ValueError
        If `check` is no known name.
    """

    check: str
    verdict: Verdict
    message: str
    remedy: str = ""
    cue: str | None = None
    frame: int | None = None
    timecode: str | None = None
    waived: str = ""

    def __post_init__(self) -> None:
        if self.check not in CHECKS:
            raise ValueError(f"{self.check!r} is no check; expected one of {', '.join(CHECKS)}")

    @property
    def stops(self) -> bool:
        """Whether it keeps the episode from being handed over."""
        return self.verdict == "fail" and not self.waived

    def problem(self, *, file: str | None = None) -> Problem:
        """Return it as a problem to show: an error where it stops, else a warning."""
        place = f"cue {self.cue}" if self.cue else ""
        if self.frame is not None:
            at = f" ({self.timecode})" if self.timecode else ""
            place = f"{place}, frame {self.frame}{at}".removeprefix(", ")
        message = f"{place}: {self.message}" if place else self.message
        remedy = f"Waived by the session: {self.waived}" if self.waived else self.remedy
        level: Literal["error", "warning"] = "error" if self.stops else "warning"
        return Problem(level, f"check-{self.check}", file, None, message, remedy)


def placed(finding: Finding, *, cue: str, timebase: Timebase, file_first_frame: int = 0) -> Finding:
    """Return a finding about a file with its cue and timecode filled in.

    Parameters
    ----------
    finding : Finding
        With `frame` counted from the file's first frame.
    cue : str
        The clip's cue.
    timebase : Timebase
        Of the episode.
    file_first_frame : int
        Where the file's first frame lies on the timeline.

    Raises
    ------
    TimecodeError
        If that place has no timecode.
    """
    label = None if finding.frame is None else timebase.label(file_first_frame + finding.frame)
    return replace(finding, cue=cue, timecode=label)


def waive(findings: Iterable[Finding], waivers: Sequence[WaiverSpec]) -> tuple[Finding, ...]:
    """Mark every failure and caution that the session waives with the session's reason.

    Parameters
    ----------
    findings : iterable of Finding
        Of any verdict; passes stay as they are.
    waivers : sequence of WaiverSpec
        The session's; where several fit, one that names the cue goes before one that names none.
    """
    in_order = sorted(waivers, key=lambda waiver: not waiver.cue)
    return tuple(_waived(finding, in_order) for finding in findings)


def _waived(finding: Finding, waivers: Sequence[WaiverSpec]) -> Finding:
    if finding.verdict == "pass":
        return finding
    for waiver in waivers:
        if waiver.check == finding.check and waiver.cue in ("", finding.cue):
            return replace(finding, waived=waiver.reason)
    return finding


def problems(findings: Iterable[Finding], *, file: str | None = None) -> tuple[Problem, ...]:
    """Return what is to be told: everything that did not simply pass."""
    return tuple(item.problem(file=file) for item in findings if item.verdict != "pass")


def each_once(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """Keep every failure and caution, and of passes the last of each check that has none."""
    told = [item for item in findings if item.verdict != "pass"]
    failed = {item.check for item in told}
    passed = {item.check: item for item in findings if item.check not in failed}
    return (*told, *(replace(item, frame=None) for item in passed.values()))
