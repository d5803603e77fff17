"""Findings: how they are told, waived and placed on the timeline."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from pydantic import ValidationError

from overlays.checks.findings import Finding, placed, problems, waive
from overlays.errors import Problem
from overlays.model.check import CHECKS
from overlays.model.waiverspec import WaiverSpec
from overlays.timecode import Timebase


def waiver(check: str, reason: str, *, cue: str = "") -> WaiverSpec:
    """Return a waiver as a session declares it."""
    return WaiverSpec.model_validate({"check": check, "reason": reason, "cue": cue})


FAILED = Finding("flashing", "fail", "it flashes.", "Slow it down.", frame=24)


def test_a_failure_becomes_an_error_that_says_where() -> None:
    """A failure is told as an error with its cue, frame and timecode."""
    timebase = Timebase(Fraction(25))
    finding = placed(FAILED, cue="cold_curves", timebase=timebase, file_first_frame=90_000)
    assert finding.problem(file="a.mov") == Problem(
        "error",
        "check-flashing",
        "a.mov",
        None,
        "cue cold_curves, frame 24 (01:00:00:24): it flashes.",
        "Slow it down.",
    )


def test_a_finding_without_a_place_is_told_without_one() -> None:
    """What is about the whole episode names no frame, and a frame alone no cue."""
    whole = Finding("numbers", "fail", "the sum is off.", "Report it.")
    assert whole.problem().message == "the sum is off."
    assert FAILED.problem().message == "frame 24: it flashes."
    timebase = Timebase(Fraction(25))
    assert placed(whole, cue="a", timebase=timebase).problem().message == "cue a: the sum is off."


def test_a_waiver_turns_an_error_into_a_warning_with_its_reason() -> None:
    """A waived failure stops nothing, and the session's reason is told in place of the remedy."""
    (waived,) = waive([FAILED], [waiver("flashing", "seen and accepted by the producer")])
    assert FAILED.stops
    assert not waived.stops
    told = waived.problem()
    assert told.level == "warning"
    assert "seen and accepted" in told.remedy


def test_only_failures_of_the_waived_check_are_waived() -> None:
    """Other checks and passes stay as they are."""
    others = [Finding("levels", "fail", "too bright."), Finding("flashing", "pass", "calm.")]
    assert waive(others, [waiver("flashing", "because")]) == tuple(others)


def test_a_caution_is_waived_as_a_failure_is() -> None:
    """What was looked at and accepted is told with its reason, not with its remedy again."""
    caution = Finding("reading-time", "caution", "too short.", "Hold it longer.")
    (waived,) = waive([caution], [waiver("reading-time", "it is read aloud")])
    told = waived.problem()
    assert (told.level, told.remedy) == ("warning", "Waived by the session: it is read aloud")


def test_a_waiver_of_a_cue_is_for_that_cue_and_goes_first() -> None:
    """A waiver that names a cue waives nothing of another, and its reason is the one shown."""
    waivers = [waiver("flashing", "all of it"), waiver("flashing", "this one", cue="intro")]
    intro, other = replace(FAILED, cue="intro"), replace(FAILED, cue="outro")
    assert [item.waived for item in waive([intro, other], waivers)] == ["this one", "all of it"]
    assert waive([other], waivers[1:]) == (other,)


@pytest.mark.parametrize(("check", "reason"), [("flashing", "  "), ("flashes", "because")])
def test_a_waiver_needs_a_known_check_and_a_reason(check: str, reason: str) -> None:
    """A waiver without a reason, or of nothing known, is refused."""
    with pytest.raises(ValidationError, match=r"name of a check|without a reason"):
        waiver(check, reason)


def test_passes_are_not_told_as_problems() -> None:
    """Only failures and cautions reach the user's list, a caution as a warning."""
    caution = Finding("flashing", "caution", "nearly.", "Look at it.")
    told = problems([FAILED, caution, Finding("levels", "pass", "fine.")])
    assert [problem.level for problem in told] == ["error", "warning"]


def test_a_finding_needs_a_known_check() -> None:
    """A misspelt check cannot make a finding; every name is told with what it asks."""
    with pytest.raises(ValueError, match="is no check"):
        Finding("flashes", "fail", "it flashes.")
    assert all(meaning.endswith(".") for meaning in CHECKS.values())
