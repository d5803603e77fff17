"""One outline at every rate: each clip's first visible frame is its place in every list."""

from __future__ import annotations

import shutil
from fractions import Fraction
from pathlib import Path
from typing import Any

import opentimelineio as otio
import pytest
from timecode.timecode import Timecode

from overlays.checks.decoding import decode
from overlays.checks.probe import probe
from overlays.timecode import Timebase
from overlays.turnover.episode import make_episode
from overlays.turnover.manifest import ManifestClip
from tests.turnover.building import ALL_TIMEBASES

MINI = Path(__file__).parent / "data" / "sessions" / "mini"
# Where the cues of the outline begin, in seconds from the episode's start.
CUES_S = {"open": "0.4", "weir-card": "6.2", "brook-score": "9.2"}
CASES = [
    (timebase, f"{hour:02}:00:00:00")
    for timebase, hour in zip(ALL_TIMEBASES, (10, 1, 0, 22, 1, 10, 5, 0, 23, 10, 1), strict=True)
]


def _session(folder: Path, timebase: Timebase, start: str) -> Path:
    """Copy the small session and change its rate and its start; the outline stays as it is."""
    shutil.copytree(MINI, folder)
    file = folder / "session.toml"
    counting = "drop" if timebase.drop else "non-drop"
    text = file.read_text(encoding="utf-8")
    for old, new in (
        ('rate = "25"', f'rate = "{timebase.rate}"\ntimecode = "{counting}"'),
        ('start = "10:00:00:00"', f'start = "{start}"'),
        ("canvas = [1080, 1920]", "canvas = [216, 384]"),
    ):
        assert old in text
        text = text.replace(old, new)
    file.write_text(text, encoding="utf-8")
    # Its one label is an in-point, which a start at another hour has to leave out.
    outline = folder / "outline.md"
    written = outline.read_text(encoding="utf-8")
    if not start.startswith("10:"):
        outline.write_text(written.replace('in = "10:00:00:00"\n', ""), encoding="utf-8")
    return folder


def _first_visible(file: Path, timebase: Timebase) -> int:
    """Decode a clip: its start timecode, and how many frames go by before anything shows."""
    label = probe(file).timecode
    assert label is not None
    shown = next(number for number, pixels in decode(file) if pixels[..., 3].max() > 0)
    return timebase.frame(label) + shown


def _otio_places(text: str) -> dict[str, tuple[float, float]]:
    read: Any = otio.adapters.read_from_string(text, "otio_json")
    found = {}
    for clip in read.find_clips():
        placed = clip.transformed_time_range(clip.trimmed_range(), read.tracks)
        start = (placed.start_time + read.global_start_time).value
        found[clip.name] = (start, clip.source_range.start_time.value)
    return found


def _edl_places(folder: Path, rate: Fraction) -> dict[str, tuple[float, float]]:
    """Read every edit list as an editor's tool would, by the CMX 3600 adapter."""
    found = {}
    for file in sorted(folder.glob("timeline*.edl")):
        read: Any = otio.adapters.read_from_file(str(file), "cmx_3600", rate=float(rate))
        for event in read.find_clips():
            placed = event.transformed_time_range(event.trimmed_range(), read.tracks)
            start = placed.start_time.value
            found[event.name.removesuffix(".mov")] = (start, event.source_range.start_time.value)
    return found


def _package_label(clip: ManifestClip, timebase: Timebase) -> str:
    rate = str(timebase.rate)
    frames = clip.first_frame + 1  # the package counts from 1
    return str(Timecode(rate, frames=frames, force_non_drop_frame=not timebase.drop))


@pytest.mark.slow
@pytest.mark.parametrize(("timebase", "start"), CASES, ids=str)
def test_the_first_visible_frame_is_the_place_in_every_list(
    tmp_path: Path, timebase: Timebase, start: str
) -> None:
    """Real overlays, decoded: file, manifest, OTIO and edit list name the same frame."""
    out = tmp_path / "out"
    session = _session(tmp_path / "mini", timebase, start)
    made = make_episode(session, out, codec="qtrle", workers=1)
    first = timebase.frame(start, either_mark=True)
    listed = _otio_places((out / "timeline.otio").read_text(encoding="utf-8"))
    cut = _edl_places(out, timebase.rate)
    assert {clip.cue for clip in made.manifest.clips} == set(CUES_S) == set(listed) == set(cut)
    for clip in made.manifest.clips:
        place = _first_visible(out / clip.file, timebase)
        assert place == clip.first_frame == timebase.frame(clip.record_in)
        # On the timeline, and as the frame of the file that lies there.
        assert listed[clip.cue] == cut[clip.cue] == (place, place)
        if timebase.rate != 48:  # the package's list of rates has no 48
            assert _package_label(clip, timebase) == clip.record_in
        # The outline says seconds: the frame nearest to them at every rate.
        exact = Fraction(CUES_S[clip.cue]) * timebase.rate
        assert abs(place - first - exact) <= Fraction(1, 2)
