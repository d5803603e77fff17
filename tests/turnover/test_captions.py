"""Captions and descriptions, read back by pysubs2."""

from __future__ import annotations

import html
import itertools
from fractions import Fraction

import pysubs2
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.errors import Problems
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
