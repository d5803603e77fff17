"""What a review of an outline tells."""

from __future__ import annotations

from pathlib import Path

import pytest

from overlays.errors import Problems
from overlays.outline.review import review_outline, review_timing
from tests.outline.bench import make_results, make_session, read, report


def _timing(tmp_path: Path, script: str) -> Problems:
    outline, problems = read(tmp_path, script)
    assert problems.found == []
    review_timing(outline, problems)
    return problems


def test_a_gap_between_written_beats_is_told_to_the_frame(tmp_path: Path) -> None:
    """A single frame between two written beats is a gap, with both times."""
    script = (
        '## One\n```beat\nlength = "2 s"\n```\nGo.\n'
        '## Two\n```beat\nin = "00:00:02:{:02}"\nlength = "1 s"\n```\nGo.\n'
    )
    assert _timing(tmp_path, script.format(0)).found == []
    problems = _timing(tmp_path, script.format(1))
    assert report(problems) == [("gap", 6)]
    assert "0.04 s" in problems.found[0].message
    assert "00:00:02:00" in problems.found[0].message
    assert "00:00:02:01" in problems.found[0].message


def test_a_short_gap_next_to_an_estimate_is_none(tmp_path: Path) -> None:
    """An estimate is not exact, so only more than a second beside it is told."""
    script = (
        '## One\nOne two three four five.\n## Two\n```beat\nin = "{} s"\nlength = "1 s"\n```\nGo.\n'
    )
    assert _timing(tmp_path, script.format("2.9")).found == []
    assert report(_timing(tmp_path, script.format("3.1"))) == [("gap", 3)]


def test_overlays_of_one_kind_should_not_overlap(tmp_path: Path) -> None:
    """Two lower thirds at once are told; a curve under a lower third is not."""
    script = (
        '## One\n```beat\nlength = "9 s"\n```\nGo.\n'
        '```cue lower_third\nlength = "3 s"\n```\n'
        '```cue curves\nat = "1 s"\nlength = "3 s"\n```\n'
        '```cue lower_third\nat = "{} s"\nlength = "3 s"\n```\n'
    )
    assert _timing(tmp_path, script.format(3)).found == []
    problems = _timing(tmp_path, script.format(2.8))
    assert report(problems) == [("cues-overlap", 13)]
    assert "0.20 s from 00:00:02:20" in problems.found[0].message


def test_overlays_of_one_kind_in_two_places_may_overlap(tmp_path: Path) -> None:
    """Where both are put is left to the check of what they draw; in one place they are told."""
    script = (
        '## One\n```beat\nlength = "9 s"\n```\nGo.\n'
        '```cue lower_third\nlength = "3 s"\nplace = "head"\n```\n'
        '```cue lower_third\nat = "2 s"\nlength = "3 s"\nplace = "{}"\n```\n'
    )
    assert _timing(tmp_path, script.format("foot")).found == []
    problems = _timing(tmp_path, script.format("head"))
    assert report(problems) == [("cues-overlap", 10)]
    assert "another place" in problems.found[0].remedy


def test_a_review_tells_times_and_numbers(tmp_path: Path) -> None:
    """One call reports all of it, and returns every number said."""
    outline, problems = read(
        tmp_path,
        '## One\n```beat\nlength = "9 s"\n```\nAlder makes 86.4 newton metres, and Dune 91.\n'
        '```cue card\nlength = "4 s"\n```\n```cue card\nat = "2 s"\nlength = "4 s"\n```\n',
    )
    findings = review_outline(outline, make_results(make_session(tmp_path)), problems)
    assert [(found.said, found.verdict) for found in findings] == [
        ("86.4 newton metres", "supported"),
        ("91", "unsupported"),
    ]
    assert report(problems) == [("number-unsupported", 5), ("cues-overlap", 9)]
    assert problems.errors == ()


def test_more_numbers_than_can_be_judged_soon_are_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The first ones are held against the data; numbers filled in from it do not count."""
    monkeypatch.setattr("overlays.outline.speech.known.MOST_NUMBERS", 3)
    script = '## One\n```beat\nlength = "9 s"\n```\n{alder cold_mean}. Dune: 86.4 N·m, 41'
    for end, told in (("", False), (", 43 and 44", True)):
        outline, problems = read(tmp_path, f"{script}{end}.\n")
        findings = review_outline(outline, make_results(make_session(tmp_path)), problems)
        assert len(findings) <= 3
        assert ("too-many-numbers" in [code for code, _ in report(problems)]) == told
