"""Beats on the timeline: exact to the frame, at every rate, and told when they cannot be."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.timecode import USUAL_RATES, frames_from_s, whole_frames
from tests.outline.bench import read, report

WORDS = "One two three four five six seven eight nine ten."
RATES = [str(rate) for rate in USUAL_RATES]


def _beat(title: str, **keys: str) -> str:
    lines = "".join(f'{key} = "{value}"\n' for key, value in keys.items())
    return f"## {title}\n```beat\n{lines}```\nGo.\n\n"


@pytest.mark.parametrize("rate", RATES)
def test_positions_never_drift(tmp_path: Path, rate: str) -> None:
    """After 400 beats of 0.333 s the end is where 133.2 s are, to the nearest frame."""
    script = "".join(_beat(f"B{n}", length="0.333 s") for n in range(400))
    outline, _ = read(tmp_path, script, rate=rate)
    ends = [beat.first_frame + beat.frames for beat in outline.beats]
    assert ends[-1] == frames_from_s(Fraction("133.2"), Fraction(rate))
    exact = [Fraction("0.333") * (n + 1) * Fraction(rate) for n in range(400)]
    assert ends == [whole_frames(end) for end in exact]


@given(
    lengths=st.lists(st.integers(100, 9000), min_size=1, max_size=12),
    rate=st.sampled_from(RATES),
)
def test_beats_leave_no_frame_between_them(
    tmp_path_factory: pytest.TempPathFactory, lengths: list[int], rate: str
) -> None:
    """A beat's last frame is the one before the next beat's first."""
    script = "".join(_beat(f"B{n}", length=f"{ms} ms") for n, ms in enumerate(lengths))
    outline, _ = read(tmp_path_factory.mktemp("session"), script, rate=rate)
    for first, second in zip(outline.beats, outline.beats[1:], strict=False):
        assert first.first_frame + first.frames == second.first_frame
    assert sum(beat.frames for beat in outline.beats) == frames_from_s(
        Fraction(sum(lengths), 1000), Fraction(rate)
    )


@given(lead_ms=st.integers(200, 5000), rate=st.sampled_from(RATES))
def test_a_cue_has_as_many_frames_wherever_it_begins(
    tmp_path_factory: pytest.TempPathFactory, lead_ms: int, rate: str
) -> None:
    """A written length is rounded by itself, so moving a cue does not make it another clip."""
    script = (
        _beat("Lead", length=f"{lead_ms} ms")
        + f'## Next\n```beat\nlength = "9 s"\n```\n{WORDS}\n```cue curves\nlength = "2.5 s"\n```\n'
    )
    outline, _ = read(tmp_path_factory.mktemp("session"), script, rate=rate)
    assert outline.cues[0].frames == frames_from_s("2.5", Fraction(rate))


def test_written_labels_are_where_they_say(tmp_path: Path) -> None:
    """Drop-frame labels with an hour offset (SMPTE ST 12-1: 01:01:00;02 is frame 109692)."""
    outline, problems = read(
        tmp_path,
        _beat("One", **{"in": "01:00:00;00", "length": "60.06 s"})
        + _beat("Two", **{"in": "01:01:00;02", "out": "01:01:10;00"}),
        rate="30000/1001",
        start="01:00:00;00",
    )
    first, second = outline.beats
    assert (first.first_frame, first.frames, first.timed_by) == (107892, 1800, "written")
    assert (second.first_frame, second.frames) == (109692, 298)
    assert outline.timebase.label(second.first_frame) == "01:01:00;02"
    assert problems.found == []


@pytest.mark.parametrize(("rate", "drop"), [(r, d) for r in RATES for d in (None, "non-drop")])
def test_times_in_seconds_suit_every_rate(tmp_path: Path, rate: str, drop: str | None) -> None:
    """A session can change its rate without touching the outline: seconds stay seconds."""
    keys: dict[str, Any] = {"timecode": drop} if drop else {}
    script = _beat("One", length="7.5 s") + _beat("Two", **{"in": "20 s", "out": "4 s"})
    outline, _ = read(tmp_path, script, rate=rate, start="01:00:00:00", **keys)
    zero = outline.timebase.frame("01:00:00:00", either_mark=True)
    exact = Fraction(rate)
    assert [b.first_frame - zero for b in outline.beats] == [0, whole_frames(20 * exact)]
    assert outline.beats[0].frames == whole_frames(Fraction("7.5") * exact)
    assert outline.beats[1].frames == whole_frames(24 * exact) - whole_frames(20 * exact)


def test_a_beat_without_length_takes_its_words(tmp_path: Path) -> None:
    """225 words at 150 a minute take 90 s (exact arithmetic)."""
    outline, _ = read(tmp_path, f"## One\n{'word ' * 225}\n")
    assert (outline.beats[0].frames, outline.beats[0].timed_by) == (90 * 25, "speaking rate")


def test_the_speaking_rate_is_the_sessions(tmp_path: Path) -> None:
    """At 100 words a minute ten words take six seconds."""
    outline, _ = read(tmp_path, f"## One\n{WORDS}\n", speaking_rate="100/min")
    assert outline.beats[0].frames == 150


def test_an_estimated_beat_holds_its_cues(tmp_path: Path) -> None:
    """A beat of few words is as long as its cues need."""
    outline, problems = read(
        tmp_path, f'## One\n{WORDS}\n```cue curves\nat = "2 s"\nlength = "9 s"\n```\n'
    )
    assert outline.beats[0].frames == 11 * 25
    assert problems.found == []


@given(
    lengths=st.lists(st.integers(3000, 9000), min_size=2, max_size=6),
    rate=st.sampled_from(RATES),
)
def test_no_cue_outlasts_the_beat_that_is_as_long_as_itself(
    tmp_path_factory: pytest.TempPathFactory, lengths: list[int], rate: str
) -> None:
    """Wherever between two frames an estimated beat begins, its cue ends with it."""
    script = "".join(
        f'## B{n}\nGo.\n```cue curves\nlength = "{ms} ms"\n```\n' for n, ms in enumerate(lengths)
    )
    outline, problems = read(tmp_path_factory.mktemp("session"), script, rate=rate)
    assert report(problems) == []
    for beat in outline.beats:
        (cue,) = beat.cues
        assert (cue.first_frame, cue.frames) == (beat.first_frame, beat.frames)


def test_an_estimate_ends_where_the_next_beat_is_written(tmp_path: Path) -> None:
    """A beat by words gives way to a written in-point, and words that do not fit are told."""
    script = f"## One\n{WORDS} {WORDS}\n\n" + _beat("Two", **{"in": "00:00:05:00"})
    outline, problems = read(tmp_path, script)
    assert [(b.first_frame, b.frames) for b in outline.beats] == [(0, 125), (125, 10)]
    assert report(problems) == [("too-many-words", 1)]
    assert "20 words" in problems.found[0].message
    assert "8.00 s" in problems.found[0].message


def test_written_beats_may_not_overlap(tmp_path: Path) -> None:
    """An overlap is an error with both times and its size."""
    script = _beat("One", length="10 s") + _beat("Two", **{"in": "00:00:08:00", "length": "2 s"})
    outline, problems = read(tmp_path, script)
    assert report(problems) == [("beat-overlap", 7)]
    assert "2.00 s before" in problems.found[0].message
    assert "00:00:10:00" in problems.found[0].message
    assert len(outline.beats) == 2


def test_one_frame_of_overlap_is_one_too_many(tmp_path: Path) -> None:
    """A beat may begin on the frame where another ends, not on the one before."""
    script = _beat("One", length="250 frames") + _beat("Two", **{"in": "00:00:{}"})
    assert read(tmp_path, script.format("10:00"))[1].found == []
    assert report(read(tmp_path, script.format("09:24"))[1]) == [("beat-overlap", 7)]


@pytest.mark.parametrize("second", ["00:00:03:00", "00:00:00:00"])
def test_beats_may_not_run_backward(tmp_path: Path, second: str) -> None:
    """An in-point before the beat in front is an error."""
    script = _beat("One", **{"in": "00:00:05:00", "length": "2 s"}) + _beat(
        "Two", **{"in": second, "length": "1 s"}
    )
    assert report(read(tmp_path, script)[1]) == [("beat-backward", 8)]


def test_no_beat_begins_before_the_episode(tmp_path: Path) -> None:
    """An in-point before the episode's own start is an error."""
    script = _beat("One", **{"in": "00:59:00:00", "length": "1 s"})
    assert report(read(tmp_path, script, start="01:00:00:00")[1]) == [("beat-before-start", 1)]


@pytest.mark.parametrize("out", ["00:00:05:00", "00:00:04:00", "0 s"])
def test_a_beat_ends_after_it_begins(tmp_path: Path, out: str) -> None:
    """An out-point at or before the in-point is an error."""
    script = _beat("One", **{"in": "00:00:05:00", "out": out})
    assert ("out-before-in", 1) in report(read(tmp_path, script)[1])


def test_a_heading_alone_is_left_out(tmp_path: Path) -> None:
    """A beat without words, length or cue has no time; it is left out, with a warning."""
    outline, problems = read(tmp_path, f"## One\n{WORDS}\n## Two\n> note\n## Three\n{WORDS}\n")
    assert [beat.title for beat in outline.beats] == ["One", "Three"]
    assert report(problems) == [("empty-beat", 3)]
    assert problems.errors == ()


def test_an_episode_ends_before_midnight(tmp_path: Path) -> None:
    """Past 23:59:59 there is no label, so the episode cannot go there."""
    script = _beat("One", length="2 h")
    _, problems = read(tmp_path, script, start="23:00:00:00")
    assert "timecode-range" in [code for code, _ in report(problems)]


def test_sentences_have_their_times(tmp_path: Path) -> None:
    """Without a recording a sentence begins where its share of the words lies."""
    outline, _ = read(tmp_path, "## One\nOne two. Three four five six. Seven eight nine ten.\n")
    assert [s.first_frame for s in outline.beats[0].sentences] == [0, 20, 60]
