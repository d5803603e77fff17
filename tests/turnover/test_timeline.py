"""The timeline, read back by OpenTimelineIO; labels with the `timecode` package beside it."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import opentimelineio as otio
import pytest
from timecode.timecode import Timecode

from overlays.timecode import Timebase
from overlays.turnover.manifest import Manifest
from overlays.turnover.numbered import Numbered
from overlays.turnover.programme import Programme
from overlays.turnover.timeline import timeline, timeline_text
from tests.turnover.building import ALL_TIMEBASES, beat, listed, manifest, outline

DROP_2997 = ALL_TIMEBASES[4]


def _read_back(made: Manifest, timebase: Timebase, start: int, **more: Any) -> Any:
    beats = outline(timebase, [beat("one", start + 25, 100), beat("two", start + 125, 50)])
    built = timeline(made, beats, Programme(timebase, start, start + 175), **more)
    return otio.adapters.read_from_string(timeline_text(built), "otio_json")


def _places(read: Any) -> dict[str, tuple[float, float]]:
    """Return first frame and length on the timeline by clip name, as an editor's tool would."""
    found = {}
    for clip in read.find_clips():
        placed = clip.transformed_time_range(clip.trimmed_range(), read.tracks)
        start = placed.start_time + read.global_start_time
        found[clip.name] = (start.value, placed.duration.value)
    return found


def _package_label(frame: int, timebase: Timebase) -> str:
    rate = f"{timebase.rate.numerator}/{timebase.rate.denominator}"
    rate = rate if timebase.rate.denominator > 1 else str(timebase.rate)
    # The package counts frames from 1 and takes drop-frame at these rates unless told otherwise.
    return str(Timecode(rate, frames=frame + 1, force_non_drop_frame=not timebase.drop))


@pytest.mark.parametrize("timebase", ALL_TIMEBASES, ids=str)
@pytest.mark.parametrize("hour", [0, 1, 10, 22])
def test_every_clip_lies_where_the_manifest_says(timebase: Timebase, hour: int) -> None:
    """At every rate and hour offset: the OTIO place, and the label two other libraries give it."""
    start = timebase.frame(f"{hour:02}:00:00:00", either_mark=True)
    far = start + timebase.frame("01:30:59:23", either_mark=True)
    made = manifest(
        timebase,
        listed("near", start + 30, 50, timebase),
        listed("far", far, 41, timebase),
    )
    read = _read_back(made, timebase, start)
    assert _places(read) == {"near": (start + 30, 50), "far": (far, 41)}
    for clip in made.clips:
        at = otio.opentime.RationalTime(clip.first_frame, float(timebase.rate))
        if timebase.rate != 48:  # the package's list of rates has no 48
            assert _package_label(clip.first_frame, timebase) == clip.record_in
        label = at.to_timecode(float(timebase.rate), drop_frame=timebase.drop)
        assert label == clip.record_in


def test_nothing_drifts_over_a_day() -> None:
    """600 cues over 23 hours at 60000/1001 lie on whole frames, to the last."""
    timebase = ALL_TIMEBASES[9]
    step = int(23 * 3600 * timebase.rate) // 600
    clips = [listed(f"c{i}", 100 + i * step, step // 2 + i % 7, timebase) for i in range(600)]
    read = _read_back(manifest(timebase, *clips), timebase, 100)
    expected = {clip.cue: (float(clip.first_frame), float(clip.cue_frames)) for clip in clips}
    assert _places(read) == expected
    assert read.duration().value == clips[-1].end_frame - 100


def test_a_clip_refers_to_the_whole_file_and_shows_the_cue() -> None:
    """Available range: the file from its own start timecode. Source range: without handles."""
    made = manifest(DROP_2997, listed("a", 108_000, 90, DROP_2997))
    (clip,) = _read_back(made, DROP_2997, 107_892).find_clips()
    media = clip.media_reference
    assert media.target_url == "clips/a.mov"
    assert media.available_range.start_time.value == 108_000 - 12
    assert media.available_range.duration.value == 12 + 90 + 8
    assert clip.source_range.start_time.value == 108_000
    assert clip.source_range.duration.value == 90
    assert clip.source_range.start_time.rate == float(Fraction(30000, 1001))
    assert clip.metadata["tracereel"]["cue"] == "a"
    assert clip.metadata["tracereel"]["figures"][0] == "most.brook"
    assert len(clip.metadata["cmx_3600"]["reel"]) == 8


def test_beats_are_markers_on_the_stack() -> None:
    """A marker counts from the timeline's start, and carries the beat's heading and length."""
    read = _read_back(manifest(DROP_2997), DROP_2997, 107_892)
    marks = [(m.name, m.marked_range.start_time.value) for m in read.tracks.markers]
    assert marks == [("One", 25), ("Two", 125)]
    assert read.tracks.markers[1].marked_range.duration.value == 50
    assert read.global_start_time.value == 107_892
    assert read.metadata["tracereel"]["rate"] == "30000/1001"
    assert read.metadata["tracereel"]["timecode"] == "drop"


def test_overlaps_lie_on_tracks_of_their_own() -> None:
    """Clips shown at once are on two tracks, each at its place; no track overlaps."""
    clips = (listed("a", 500, 50, DROP_2997), listed("b", 530, 50, DROP_2997))
    read = _read_back(manifest(DROP_2997, *clips), DROP_2997, 400)
    assert [track.name for track in read.video_tracks()] == ["overlays", "overlays 2"]
    assert _places(read) == {"a": (500, 50), "b": (530, 50)}


def test_a_name_with_spaces_is_a_valid_url() -> None:
    """The reference is a relative URL (RFC 3986): spaces and letters beyond ASCII are encoded."""
    named = replace(listed("a", 500, 50, DROP_2997), file="clips/Öl 1.mov")
    (clip,) = _read_back(manifest(DROP_2997, named), DROP_2997, 400).find_clips()
    assert clip.media_reference.target_url == "clips/%C3%96l%201.mov"


def test_numbered_files_are_an_image_sequence(tmp_path: Path) -> None:
    """Every frame of the file range finds its picture."""
    png = replace(listed("a", 500, 3, DROP_2997), file="clips/a", codec="png")
    numbered = {"a": Numbered(tmp_path, "a_", ".png", 0, 6, 23)}
    (clip,) = _read_back(manifest(DROP_2997, png), DROP_2997, 400, numbered=numbered).find_clips()
    media = clip.media_reference
    assert media.target_url_for_image_number(0) == "clips/a/a_000000.png"
    assert media.number_of_images_in_sequence() == 23
    first, last = media.frame_range_for_time_range(clip.source_range)
    assert (first, last) == (12, 14)


def test_the_text_is_the_same_every_time() -> None:
    """The same manifest gives the same bytes."""
    made = manifest(DROP_2997, listed("a", 500, 50, DROP_2997))
    span = Programme(DROP_2997, 400, 700)
    beats = outline(DROP_2997, [])
    one, two = (timeline_text(timeline(made, beats, span)) for _ in range(2))
    assert one == two
