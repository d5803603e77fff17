"""Captions and descriptions, read back by pysubs2."""

from __future__ import annotations

import html
import itertools
from dataclasses import replace
from fractions import Fraction

import pysubs2
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.errors import Problems
from overlays.model.outline import SaidWord
from overlays.model.plain_text import clean_text
from overlays.timecode import Timebase
from overlays.turnover.captions import Caption, captions, descriptions, vtt_text
from overlays.turnover.programme import Programme
from tests.turnover.building import ALL_TIMEBASES, beat, listed, manifest, outline

NON_DROP_25 = ALL_TIMEBASES[2]
PACE = Fraction(150)
TEXT = "Four sets of pads, one wheel, one stop after another. None of them was new to us."


def _read(text: str) -> list[tuple[int, int, str]]:
    read = pysubs2.SSAFile.from_string(text)
    assert read.format == "vtt"
    return [(e.start, e.end, html.unescape(e.plaintext)) for e in read.events]


@pytest.mark.parametrize("timebase", ALL_TIMEBASES, ids=str)
def test_captions_are_timed_from_the_programmes_start(timebase: Timebase) -> None:
    """At every rate and an hour offset, the first word stands at its beat's in-point."""
    start = timebase.frame("10:00:00:00", either_mark=True)
    second = timebase.frame("10:01:00:08", either_mark=True)
    beats = [beat("one", start, 900, TEXT), beat("two", second, 900, TEXT)]
    found = captions(outline(timebase, beats), PACE)
    read = _read(vtt_text(found, Programme(timebase, start, second + 900)))
    assert read[0][0] == 0
    # 17 words at 150 a minute take 6.8 s.
    spoken = [item for item in read if item[0] < 60_000]
    assert spoken[-1][1] == pytest.approx(6800, abs=25)
    exact_ms = Fraction(second - start) / timebase.rate * 1000
    assert read[len(spoken)][0] == int(exact_ms + Fraction(1, 2))
    assert " ".join(text.replace("\n", " ") for _, _, text in spoken) == TEXT


@pytest.mark.parametrize(
    ("frame", "expected_ms"), [(0, 0), (1, 33), (100, 3337), (1800, 60060), (107892, 3599996)]
)
def test_frame_times_are_exact(frame: int, expected_ms: int) -> None:
    """Closed arithmetic: frame · 1001 / 30000 seconds, rounded to the millisecond."""
    assert Programme(ALL_TIMEBASES[4], 500, 600).elapsed_ms(500 + frame) == expected_ms


def test_a_short_beat_is_spoken_faster_and_reported() -> None:
    """17 words in 3 s are 340 a minute: squeezed into the beat, and over the 225 of the DCMP."""
    problems = Problems()
    found = captions(outline(NON_DROP_25, [beat("one", 1000, 75, TEXT)]), PACE, problems)
    assert found[-1].end_frame == 1075
    (problem,) = problems.found
    assert (problem.level, problem.code) == ("warning", "captions-too-fast")
    assert "17 words in 3.0 s, 340 a minute" in problem.message


def test_captions_follow_each_other_without_overlap() -> None:
    """One caption ends where the next begins, each in proportion to its words."""
    found = captions(outline(NON_DROP_25, [beat("one", 1000, 900, TEXT)]), PACE)
    assert [(c.first_frame, c.end_frame) for c in found] == [(1000, 1100), (1100, 1170)]


def test_silence_has_no_captions() -> None:
    """A beat without words, or too short for one frame of them, gives none."""
    beats = [beat("one", 1000, 100), beat("two", 1100, 1, "A word or two. And two.")]
    found = captions(outline(NON_DROP_25, beats), PACE, Problems())
    assert [(c.first_frame, c.end_frame) for c in found] in ([], [(1100, 1101)])


def _said(text: str, at: int, frames: int = 10) -> tuple[SaidWord, ...]:
    """Return words of ten frames each, one after the other; ``_`` is a silence as long."""
    words = enumerate(text.split())
    return tuple(
        SaidWord(word, at + frames * k, at + frames * (k + 1)) for k, word in words if word != "_"
    )


def test_the_recorded_voice_times_the_captions() -> None:
    """Where a beat was heard, its captions stand when their words are said, not at its pace."""
    spoken = replace(beat("one", 1000, 900, TEXT), said=_said(TEXT, 1012))
    estimated = beat("two", 1900, 900, "Not heard.")
    found = captions(outline(NON_DROP_25, [spoken, estimated]), PACE)
    assert [(c.first_frame, c.end_frame) for c in found] == [
        (1012, 1112), (1112, 1182), (1900, 1920),
    ]  # fmt: skip
    assert " ".join(line for c in found[:2] for line in c.lines) == TEXT


def test_a_caption_does_not_run_on_over_a_pause() -> None:
    """A second of silence parts captions; the first stays until it can be read, no longer."""
    said = _said("Wait for _ _ _ it.", 1000)
    found = captions(outline(NON_DROP_25, [replace(beat("one", 1000, 99, "-"), said=said)]), PACE)
    assert [(c.first_frame, c.end_frame, *c.lines) for c in found] == [
        (1000, 1020, "Wait for"),
        (1050, 1060, "it."),
    ]


def test_words_said_in_a_rush_stay_as_long_as_reading_takes() -> None:
    """Six words at 225 a minute take 1.6 s, where the next caption leaves room; else it is told."""
    problems = Problems()
    said = _said("Six words are said too fast.", 1000, 3)
    one = replace(beat("one", 1000, 99, "-"), said=said)
    (found,) = captions(outline(NON_DROP_25, [one]), PACE, problems)
    assert (found.first_frame, found.end_frame) == (1000, 1040)
    assert problems.found == []
    two = replace(beat("two", 1020, 99, "-"), said=_said("And on it goes.", 1020))
    captions(outline(NON_DROP_25, [one, two]), PACE, problems)
    assert [(p.code, "6 words in 0.8 s" in p.message) for p in problems.found] == [
        ("captions-too-fast", True)
    ]


def test_captions_stand_one_at_a_time() -> None:
    """An estimated beat gives way where the voice says what comes next."""
    heard = replace(beat("two", 1100, 99, "-"), said=_said("Heard early.", 1050))
    found = captions(outline(NON_DROP_25, [beat("one", 1000, 100, TEXT), heard]), PACE)
    assert all(a.end_frame <= b.first_frame for a, b in itertools.pairwise(found))
    assert ("Heard early.",) in [c.lines for c in found]


def test_descriptions_say_what_each_overlay_shows() -> None:
    """One caption a clip, over the cue without its handles."""
    clips = [listed(cue, at, 50, NON_DROP_25) for cue, at in (("a", 1000), ("b", 1025))]
    found = descriptions(manifest(NON_DROP_25, *clips))
    assert _read(vtt_text(found, Programme(NON_DROP_25, 1000, 2000))) == [
        (0, 2000, "Flow of a."),
        (1000, 3000, "Flow of b."),
    ]


@pytest.mark.parametrize(
    "line", ["a < b & c > d", "<b>bold</b>", "1 --> 2", r"{\i1}x{\N}", "&amp;", "a {p} b", "NOTE x"]
)
def test_text_is_never_markup(line: str) -> None:
    """What looks like a tag, a timestamp, a reference or styling is read back as the words."""
    text = vtt_text([Caption(0, 25, (line, "end"))], Programme(NON_DROP_25, 0, 25))
    assert "<" not in text
    assert text.count("-->") == 1
    (event,) = pysubs2.SSAFile.from_string(text).events
    # pysubs2 leaves character references as they are, and takes braces for styling of its own.
    assert html.unescape(event.text) == rf"{line}\Nend"


@given(st.text(max_size=200))
def test_any_narration_gives_a_file_that_reads_back(narration: str) -> None:
    """Whatever the words, times rise and the words come back."""
    found = captions(outline(NON_DROP_25, [beat("one", 0, 10_000, narration)]), PACE)
    text = vtt_text(found, Programme(NON_DROP_25, 0, 10_000))
    events = pysubs2.SSAFile.from_string(text, format_="vtt").events
    assert len(events) == len(found)
    assert all(a.end <= b.start for a, b in itertools.pairwise(events))
    words = " ".join(line for caption in found for line in caption.lines)
    assert words.split() == clean_text(narration).split()
