"""Edit lists, read back by OpenTimelineIO's CMX 3600 adapter and by our own reader."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import opentimelineio as otio
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.errors import Problems
from overlays.timecode import Timebase
from overlays.turnover.edl import MOST_EVENTS, edit_lists, edl_names, read_edl
from tests.turnover.building import ALL_TIMEBASES, listed, manifest

RATE_MISMATCH = Path(__file__).parent.parent / "data" / "edl" / "rate_mismatch.edl"
NON_DROP_25 = ALL_TIMEBASES[2]
DROP_2997 = ALL_TIMEBASES[4]


def _read(text: str, rate: Fraction) -> tuple[Any, list[str]]:
    problems = Problems()
    found = read_edl(text, rate, problems)
    return found, [str(problem) for problem in problems.found]


@pytest.mark.parametrize("timebase", ALL_TIMEBASES, ids=str)
@pytest.mark.parametrize("hour", [0, 1, 22])
def test_the_adapter_reads_every_event_back(timebase: Timebase, hour: int) -> None:
    """At every rate and hour offset, OpenTimelineIO's adapter finds source and record times."""
    start = timebase.frame(f"{hour:02}:00:59:20", either_mark=True)
    clips = [listed(f"c{i}", start + 100 * i, 60 + i, timebase) for i in range(5)]
    (text,) = edit_lists(manifest(timebase, *clips), timebase)
    read = otio.adapters.read_from_string(text, "cmx_3600", rate=float(timebase.rate))
    (track,) = read.video_tracks()
    for event, clip in zip(track.find_clips(), clips, strict=True):
        assert event.source_range.start_time.value == clip.first_frame
        assert event.source_range.duration.value == clip.cue_frames
        placed = event.transformed_time_range(event.trimmed_range(), read.tracks)
        assert placed.start_time.value == clip.first_frame
        assert event.name == f"{clip.cue}.mov"
        assert len(event.metadata["cmx_3600"]["reel"]) == 8
    found, problems = _read(text, timebase.rate)
    assert problems == []
    assert found.timebase == timebase
    assert [e.record_in for e in found.events] == [clip.first_frame for clip in clips]


@pytest.mark.parametrize(
    ("timebase", "mode"), [(DROP_2997, "DROP FRAME"), (NON_DROP_25, "NON-DROP FRAME")]
)
def test_the_frame_code_mode_is_stated(timebase: Timebase, mode: str) -> None:
    """FCM stands in the second line, and labels are written to match."""
    (text,) = edit_lists(manifest(timebase, listed("a", 9000, 60, timebase)), timebase)
    assert text.splitlines()[:2] == ["TITLE: taps", f"FCM: {mode}"]
    labels = re.findall(r"\d\d:\d\d:\d\d([:;])\d\d", text)
    assert labels == [";" if timebase.drop else ":"] * 4


def test_the_comments_name_the_clip() -> None:
    """Clip name, file and cue stand below the event; the rate below the first."""
    clips = [listed(cue, at, 60, NON_DROP_25) for cue, at in (("a", 90000), ("b", 91000))]
    (text,) = edit_lists(manifest(NON_DROP_25, *clips), NON_DROP_25)
    found, _ = _read(text, NON_DROP_25.rate)
    assert [event.clip_name for event in found.events] == ["a.mov", "b.mov"]
    assert found.events[0].comments[1:] == (
        "SOURCE FILE: clips/a.mov",
        "COMMENT: CUE a, BEAT one",
        "COMMENT: 25 FRAMES PER SECOND",
    )
    assert found.title == "taps"


def test_overlaps_go_to_a_second_list() -> None:
    """An edit list knows one video track: each lane has its own, and each says so."""
    clips = [listed(cue, at, 60, NON_DROP_25) for cue, at in (("a", 90000), ("b", 90030))]
    texts = edit_lists(manifest(NON_DROP_25, *clips), NON_DROP_25)
    assert len(texts) == 2
    for number, text in enumerate(texts, start=1):
        assert f"EDIT LIST {number} OF 2" in text
        assert len(otio.adapters.read_from_string(text, "cmx_3600", rate=25).tracks) == 1
    assert edl_names(manifest(NON_DROP_25, *clips)) == ("timeline.edl", "timeline_2.edl")


def test_a_list_holds_no_more_than_999_events() -> None:
    """Event numbers have three digits; what does not fit goes to another list."""
    clips = [listed(f"c{i}", 100 + 10 * i, 5, NON_DROP_25) for i in range(MOST_EVENTS + 2)]
    first, second = edit_lists(manifest(NON_DROP_25, *clips), NON_DROP_25)
    assert len(_read(first, NON_DROP_25.rate)[0].events) == 999
    assert [e.number for e in _read(second, NON_DROP_25.rate)[0].events] == ["001", "002"]


def test_no_clips_give_an_empty_list() -> None:
    """Title and mode stand even where nothing is cut."""
    (text,) = edit_lists(manifest(DROP_2997), DROP_2997)
    found, problems = _read(text, DROP_2997.rate)
    assert (found.title, found.timebase, found.events, problems) == ("taps", DROP_2997, (), [])
    assert len(otio.adapters.read_from_string(text, "cmx_3600", rate=30).tracks) == 0


@given(st.text(max_size=30), st.text(min_size=1, max_size=30))
def test_no_text_breaks_a_list(title: str, cue: str) -> None:
    """Line ends, control characters and comment marks of a name stay in its comment."""
    made = manifest(NON_DROP_25, listed(cue, 90000, 60, NON_DROP_25, beat=title))
    (text,) = edit_lists(replace(made, session=title), NON_DROP_25)
    found, problems = _read(text, NON_DROP_25.rate)
    assert problems == []
    assert len(found.events) == 1
    read = otio.adapters.read_from_string(text, "cmx_3600", rate=25)
    assert len(list(read.find_clips())) == 1


def test_a_list_of_25_frames_is_refused_at_24() -> None:
    """Case edl_rate_mismatch: frame 24 does not exist at 24 frames/s, in events 001 and 002."""
    found, problems = _read(RATE_MISMATCH.read_text(), Fraction(24))
    assert found.events == ()
    assert len(problems) == 2
    assert "timeline.edl:3: error: event 001: frame 24 in '00:00:01:24'" in problems[0]
    assert "timeline.edl:4: error: event 002: frame 24 in '01:00:01:24'" in problems[1]


def test_unequal_lengths_are_refused_with_both_numbers() -> None:
    """The same list at 25: event 001 has 49 and 49 frames, event 002 48 of source for 50."""
    found, problems = _read(RATE_MISMATCH.read_text(), Fraction(25))
    lengths = [(event.source_frames, event.record_frames) for event in found.events]
    assert lengths == [(49, 49), (48, 50)]
    (problem,) = problems
    assert "event 002 takes 48 frames from its source for 50 frames of record" in problem


def _list(*lines: str, mode: str = "NON-DROP FRAME") -> str:
    return "\n".join(("TITLE: T", f"FCM: {mode}", *lines))


GOOD = "001  AX  V  C  00:00:00:00 00:00:02:00 01:00:00:00 01:00:02:00"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (_list(mode="SOMETIMES"), "no frame code mode"),
        (_list(GOOD.replace("C", "D 010")), "is no cut"),
        (_list(GOOD.replace("01:00:02:00", "01:00:02")), "no timecode"),
        (_list(GOOD.replace("01:00:02:00", "01:00:02;00")), "drop-frame, the list says"),
        (_list(GOOD.replace("01:00:02:00", "01:60:02:00")), "not a timecode"),
        (_list(GOOD.replace("00:00:02:00", "00:00:00:00")), "ends before it begins"),
        (_list(GOOD, GOOD.replace("001", "002")), "event 002 begins 60 frames before event 001"),
        (_list("EVERYTHING"), "no part of an edit list"),
        (
            _list(GOOD.replace("01:00:02:00", "01:01:00:00"), mode="DROP FRAME"),
            "leaves out frames 0 to 1",
        ),
    ],
)
def test_what_does_not_fit_is_said(text: str, says: str) -> None:
    """Each fault of a list is one error with its line."""
    _, problems = _read(text, Fraction(30000, 1001))
    assert len(problems) == 1
    assert says in problems[0]
    assert problems[0].startswith("timeline.edl:")


def test_colons_in_a_drop_frame_list_are_read_as_drop_frame() -> None:
    """A list may state DROP FRAME once and write every label with colons: common practice."""
    text = _list(GOOD.replace("00:00:02:00", "00:01:00:02"), mode="DROP FRAME")
    found, _ = _read(text, Fraction(30000, 1001))
    # 00:01:00;02 is frame 1800 (SMPTE ST 12-1).
    assert found.events[0].source_out == 1800


@given(st.text(alphabet="0123456789:; \nVC*FCMTITLE-DROPNA", max_size=200))
def test_no_text_breaks_the_reader(text: str) -> None:
    """Whatever is in the file, reading it ends with events and problems, never an exception."""
    found, problems = _read(text, Fraction(25))
    assert isinstance(found.events, tuple)
    assert all("error" in problem for problem in problems)
