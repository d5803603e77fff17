"""A turnover proved, and each way of spoiling one found."""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import av
import numpy as np
import opentimelineio as otio
import pytest

from overlays.checks.decoding import decode
from overlays.checks.probe import probe
from overlays.draw.patch import Layer, Patch
from overlays.errors import Problems
from overlays.model.clip import CODECS, Clip
from overlays.model.waiverspec import WaiverSpec
from overlays.render.cache import digest
from overlays.timecode import Timebase
from overlays.turnover.kept_waivers import WAIVERS_FILE, keep_waivers, kept_waivers
from overlays.turnover.manifest import Manifest, read_manifest
from overlays.turnover.verify import verify
from tests.turnover.building import ALL_TIMEBASES, NON_DROP_25, render
from tests.turnover.building import clip as built

Turnover = Callable[..., Manifest]
START = 10 * 3600 * 25


def _verified(folder: Path) -> list[str]:
    problems = Problems()
    verify(folder, problems)
    assert all(problem.remedy for problem in problems.found)
    return [str(problem) for problem in problems.found]


@pytest.mark.parametrize("codec", CODECS)
def test_a_turnover_as_written_is_proved(tmp_path: Path, turnover: Turnover, codec: str) -> None:
    """With every codec: nothing is found."""
    turnover(tmp_path / "out", codec=codec)
    assert _verified(tmp_path / "out") == []


@pytest.mark.parametrize("timebase", ALL_TIMEBASES, ids=str)
def test_a_turnover_is_proved_at_every_rate(
    tmp_path: Path, turnover: Turnover, timebase: Timebase
) -> None:
    """Rates, counts and start timecodes are read back exactly as written."""
    turnover(tmp_path / "out", timebase=timebase, codec="prores4444")
    assert _verified(tmp_path / "out") == []


@pytest.mark.parametrize("timebase", ALL_TIMEBASES, ids=str)
def test_the_first_visible_frame_is_the_place_in_the_lists(
    tmp_path: Path, turnover: Turnover, timebase: Timebase
) -> None:
    """Decoded: start timecode and the frames before anything shows add up to record_in."""
    out = tmp_path / "out"
    turnover(out, timebase=timebase, codec="prores4444")
    read = otio.adapters.read_from_file(str(out / "timeline.otio"))
    starts = {clip.name: clip.source_range.start_time.value for clip in read.find_clips()}
    manifest = read_manifest(out / "manifest.json")
    assert len(manifest.clips) == len(starts) > 0
    for clip in manifest.clips:
        file = out / clip.file
        label = probe(file).timecode
        assert label is not None
        shown = next(n for n, pixels in decode(file) if pixels[..., 3].max() > 8)
        place = timebase.frame(label) + shown
        assert timebase.label(place) == clip.record_in
        assert place == clip.first_frame == starts[clip.cue]


def test_a_folder_without_a_manifest_is_one_error(tmp_path: Path) -> None:
    """Nothing else is said of it."""
    (found,) = _verified(tmp_path)
    assert "manifest.json" in found


@pytest.mark.skipif(os.name == "nt", reason="no pipes in folders there")
def test_a_pipe_among_our_hidden_files_is_not_waited_for(
    tmp_path: Path, turnover: Turnover
) -> None:
    """A stranger's turnover is proved to its end: waivers that are no file are none."""
    turnover(tmp_path / "out")
    os.mkfifo(tmp_path / "out" / WAIVERS_FILE)
    assert _verified(tmp_path / "out") == []


def test_a_contradiction_ends_the_proof(tmp_path: Path, turnover: Turnover) -> None:
    """A manifest that contradicts itself is not followed to any file."""
    out = tmp_path / "out"
    turnover(out)
    shutil.rmtree(out / "clips")
    _change(out, 0, "file", "clips/../../etc/passwd")
    (found,) = _verified(out)
    assert "clips.0.file" in found


def _change(out: Path, index: int, key: str, value: object) -> None:
    found: Any = json.loads((out / "manifest.json").read_text(encoding="utf-8"))
    found["clips"][index][key] = value
    (out / "manifest.json").write_text(json.dumps(found), encoding="utf-8")


def _put(out: Path, changed: dict[str, Any], *, codec: str = "qtrle") -> None:
    """Render the first clip another way and give the manifest its true hash."""
    timebase = changed.pop("timebase", NON_DROP_25)
    frames = changed.pop("frames", 20)
    made = built("first", changed.pop("at", START + 20), frames, timebase, **changed)
    render(out, [made], codec)
    _change(out, 0, "sha256", digest(out / "clips" / "first.mov"))


def _cut_short(out: Path) -> None:
    _put(out, {"frames": 19})


def _other_rate(out: Path) -> None:
    _put(out, {"timebase": Timebase(ALL_TIMEBASES[1].rate), "at": START + 20})


def _other_timecode(out: Path) -> None:
    _put(out, {"at": START + 21})


def _no_handle(out: Path) -> None:
    _put(out, {"handles": (0, 20)})


def _other_codec(out: Path) -> None:
    _put(out, {}, codec="prores4444")


def _one_byte(out: Path) -> None:
    file = out / "clips" / "first.mov"
    data = bytearray(file.read_bytes())
    data[len(data) // 3] ^= 1
    file.write_bytes(data)


def _truncated(out: Path) -> None:
    file = out / "clips" / "first.mov"
    file.write_bytes(file.read_bytes()[:200])


def _no_clip(out: Path) -> None:
    (out / "clips" / "first.mov").unlink()


def _linked(out: Path) -> None:
    file = out / "clips" / "first.mov"
    file.rename(out.parent / "elsewhere.mov")
    file.symlink_to(out.parent / "elsewhere.mov")


@pytest.mark.parametrize(
    ("spoil", "says"),
    [
        (_cut_short, "frame count is 39; expected 40"),
        (_other_rate, "frame rate is 24; expected 25"),
        (_other_timecode, "timecode is 10:00:00:09; expected 10:00:00:08"),
        (_no_handle, "the first frame shows something"),
        (_other_codec, "codec is prores; expected qtrle"),
        (_one_byte, "its SHA-256 is"),
        (_truncated, "cannot be read"),
        (_no_clip, "clips/first.mov: error: it is missing"),
        (_linked, "it is a link"),
    ],
)
def test_a_spoilt_clip_is_found(
    tmp_path: Path, turnover: Turnover, spoil: Callable[[Path], None], says: str
) -> None:
    """What is not as claimed is told with the clip's name."""
    turnover(tmp_path / "out")
    spoil(tmp_path / "out")
    found = _verified(tmp_path / "out")
    assert any(says in problem and "clips/first.mov" in problem for problem in found), found


def test_ends_may_have_been_waived_as_any_check(tmp_path: Path, turnover: Turnover) -> None:
    """What the session lets pass when the clip is made, it lets pass when it is proved."""
    out = tmp_path / "out"
    turnover(out)
    _change(out, 0, "leaves", value=True)
    problems = Problems()
    verify(out, problems)
    assert [(found.level, found.code) for found in problems.found] == [("error", "check-ends")]
    keep_waivers(out, [WaiverSpec(check="ends", reason="it is cut there")])
    waived = Problems()
    verify(out, waived)
    (told,) = waived.found
    assert (told.level, told.remedy) == ("warning", "Waived by the session: it is cut there")


class _Flashing:
    """A scene that is white and black all over, in turn."""

    def __init__(self, of: Clip) -> None:
        self.width, self.height, self.frames = of.stage.width, of.stage.height, of.stage.frames
        levels = (np.full((48, 64, 4), 255, np.uint8), np.zeros((48, 64, 4), np.uint8))
        levels[1][..., 3] = 255
        self._patches = [Patch(pixels) for pixels in levels]

    def layers(self, frame: int) -> Sequence[Layer]:
        return (Layer(self._patches[frame % 2], 0, 0),)


def test_pictures_beyond_a_limit_are_found_and_may_have_been_waived(
    tmp_path: Path, turnover: Turnover
) -> None:
    """A clip that flashes fails with its place, though all is as claimed, unless it is waived."""
    out = tmp_path / "out"
    turnover(out)
    render(out, [built("first", START + 20, 20, NON_DROP_25)], "qtrle", _Flashing)
    _change(out, 0, "sha256", digest(out / "clips" / "first.mov"))
    problems = Problems()
    verify(out, problems)
    (found,) = problems.found
    assert (found.level, found.code, found.file) == ("error", "check-flashing", "clips/first.mov")
    assert "cue first, frame " in found.message
    keep_waivers(out, [WaiverSpec(check="flashing", cue="first", reason="a test picture")])
    waived = Problems()
    verify(out, waived)
    (told,) = waived.found
    assert (told.level, told.remedy) == ("warning", "Waived by the session: a test picture")
    (out / WAIVERS_FILE).write_text("[{}]", encoding="utf-8")
    assert kept_waivers(out) == ()


def test_wrong_colour_tags_are_found(tmp_path: Path, turnover: Turnover) -> None:
    """A clip of converted colour that does not say BT.709 would be shown in other colours."""
    out = tmp_path / "out"
    turnover(out, codec="prores4444")
    with av.open(str(out / "clips" / "first.mov"), "w") as container:
        stream = container.add_stream("prores_ks", rate=25)
        stream.width, stream.height, stream.pix_fmt = 64, 48, "yuva444p10le"
        stream.options = {"profile": "4444", "alpha_bits": "16"}
        stream.metadata["timecode"] = "10:00:00:08"
        for index in range(40):
            pixels = np.full((48, 64, 4), (200, 40, 40, 255 if index >= 12 else 0), np.uint8)
            container.mux(stream.encode(av.VideoFrame.from_ndarray(pixels, format="rgba")))
        container.mux(stream.encode())
    _change(out, 0, "sha256", digest(out / "clips" / "first.mov"))
    found = _verified(out)
    assert len(found) == 3
    for tag, problem in zip(("primaries", "transfer", "matrix"), found, strict=True):
        assert f"the file's {tag} is unspecified; expected bt709. Make" in problem


def _edit(name: str, old: str, new: str, times: int = 1) -> Callable[[Path], None]:
    def change(out: Path) -> None:
        text = (out / name).read_text(encoding="utf-8")
        assert old in text
        (out / name).write_text(text.replace(old, new, times), encoding="utf-8")

    return change


@pytest.mark.parametrize(
    ("spoil", "says"),
    [
        (_edit("timeline.otio", "clips/first.mov", "clips/other.mov"), "refers to"),
        (_edit("timeline.otio", '"value": 900020.0', '"value": 900021.0'), "first"),
        (_edit("timeline.otio", '"name": "first"', '"name": "third"'), "'first' is missing"),
        (_edit("timeline.otio", "{", "["), "cannot be read"),
        (_edit("timeline.otio", "{", "[" * 200_000), "nested too deeply"),
        (_edit("timeline.otio", '"rate": 25.0', '"rate": 24.0', times=-1), "another rate than 25"),
        (_edit("timeline.otio", '"value": 40.0', '"value": 41.0'), "not have the whole file"),
        (_edit("timeline.otio", "Timeline.1", "Stack.1"), "timeline.otio"),
        (_edit("timeline.edl", "10:00:00:20 10:00:01:15\n", "10:00:00:21 10:00:01:16\n"), "900021"),
        (_edit("timeline.edl", "10:00:01:15\n", "10:00:01:16\n"), "20 frames from its source"),
        (_edit("timeline.edl", "first.mov", "third.mov"), "'first' is missing"),
        (_edit("timeline.edl", "NON-DROP", "SOMETIMES"), "no frame code mode"),
        (_edit("descriptions.vtt", "00:00:00.800 --> 00:00:01.600", ""), "describes 1 overlays"),
        (_edit("captions.vtt", "WEBVTT", "SUBTITLES"), "WEBVTT"),
        (_edit("captions.vtt", "--> 00:00:03.200", "--> 00:00:00.000"), "ends before it begins"),
        (_edit("captions.vtt", "--> 00:00:03.200", "--> 00:00:05.200"), "in front of it ends"),
        (_edit("descriptions.vtt", "-->", "->"), "not every '-->'"),
        (_edit("chapters.txt", "00:00", "00:07"), "chapters begin at 00:00"),
        (_edit("chapters.txt", "00:00", "noon"), "does not begin with a time"),
        (_edit("figures.csv", "most,brook", "most,birch"), "'most.brook', which is not in"),
        (_edit("figures.csv", "figure,", "number,"), "no columns"),
        (_edit("figures.csv", "brook,12.5", "brook,12.6"), "most of brook is 12.6; none of its"),
        (_edit("descriptions.vtt", "Flow of second", "Ebb of second"), "say 'Flow of second.'"),
        (_edit("standings.csv", ",", ",,"), "different numbers of cells"),
        (_edit("standings.csv", "60.0,60.0", "60.0,60.1"), "make 60.0; its score is '60.1'"),
        (_edit("standings.csv", "60.0,60.0", "59.0,60.0"), "of 'Brook' make 59.0; its score is"),
        (_edit("standings.csv", "60.0,60.0", "–,60.0"), "make –; its score is '60.0'"),
        (_edit("review.html", "<h1>", "<script></script><h1>"), "runs scripts"),
        (_edit("review.html", "10:00:00:20", "", times=-1), "the clip at 10:00:00:20"),
    ],
)
def test_a_list_that_says_something_else_is_found(
    tmp_path: Path, turnover: Turnover, spoil: Callable[[Path], None], says: str
) -> None:
    """Every list is held to the manifest."""
    turnover(tmp_path / "out")
    spoil(tmp_path / "out")
    found = _verified(tmp_path / "out")
    assert any(says in problem for problem in found), found
    assert all(": error: " in problem for problem in found)


@pytest.mark.parametrize(
    "name",
    [
        "timeline.otio", "timeline.edl", "timeline_2.edl", "captions.vtt", "descriptions.vtt",
        "chapters.txt", "figures.csv", "standings.csv", "beats.csv", "results.txt", "review.html",
    ],
)  # fmt: skip
def test_a_missing_or_unreadable_list_is_found(
    tmp_path: Path, turnover: Turnover, name: str
) -> None:
    """Missing, it is one error; with bytes that are no text, an error that names it."""
    out = tmp_path / "out"
    turnover(out)
    (out / name).write_bytes(b"\xff\xfe\x00broken\x80")
    assert any(problem.startswith(name) for problem in _verified(out))
    (out / name).unlink()
    (found,) = _verified(out)
    assert found.startswith(f"{name}: error: it is missing")


def test_a_reel_stands_for_one_clip(tmp_path: Path, turnover: Turnover) -> None:
    """Two events of one reel would be conformed to one file."""
    out = tmp_path / "out"
    turnover(out)
    lists = [out / "timeline.edl", out / "timeline_2.edl"]
    one, two = (file.read_text(encoding="utf-8").splitlines()[3].split()[1] for file in lists)
    lists[1].write_text(lists[1].read_text(encoding="utf-8").replace(two, one), encoding="utf-8")
    (found,) = _verified(out)
    assert f"timeline_2.edl: error: reel {one!r} stands for two clips" in found


def test_drop_and_non_drop_lists_do_not_pass_for_each_other(
    tmp_path: Path, turnover: Turnover
) -> None:
    """The same labels, counted the other way."""
    out = tmp_path / "out"
    turnover(out, timebase=ALL_TIMEBASES[3])
    file = out / "timeline.edl"
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace("NON-DROP", "DROP"), encoding="utf-8")
    assert any("counts frames another way" in problem for problem in _verified(out))


@pytest.mark.parametrize("name", ["standings.csv", "results.txt"])
def test_an_empty_list_is_found(tmp_path: Path, turnover: Turnover, name: str) -> None:
    """A file without content is not the one that was written."""
    turnover(tmp_path / "out")
    (tmp_path / "out" / name).write_text("", encoding="utf-8")
    (found,) = _verified(tmp_path / "out")
    assert f"{name}: error: it is empty" in found


def test_strangers_are_warned_of(tmp_path: Path, turnover: Turnover) -> None:
    """A file nobody claims and a stopped writer's part are warnings; a system's own are not."""
    out = tmp_path / "out"
    turnover(out)
    (out / "clips" / "old.mov").write_bytes(b"")
    (out / "clips" / ".tracereel-0123456789ab.part.mov").write_bytes(b"")
    (out / ".DS_Store").write_bytes(b"")
    (out / "notes.txt").write_bytes(b"")
    found = _verified(out)
    assert len(found) == 3
    assert all(": warning: " in problem for problem in found)
    assert "notes.txt" in found[0]
    assert ".part.mov" in found[1]
    assert "clips/old.mov" in found[2]


def test_a_gap_in_numbered_files_is_found(tmp_path: Path, turnover: Turnover) -> None:
    """One picture of a png clip gone: hash and numbering both say so."""
    out = tmp_path / "out"
    turnover(out, codec="png")
    sorted((out / "clips" / "first").iterdir())[5].unlink()
    found = _verified(out)
    assert len(found) == 3
    assert "SHA-256" in found[0]
    assert "frame count is 39; expected 40" in found[1]
    assert "numbering" in found[2]


def test_a_broken_picture_is_found(tmp_path: Path, turnover: Turnover) -> None:
    """A picture that cannot be read is named."""
    out = tmp_path / "out"
    turnover(out, codec="png")
    file = sorted((out / "clips" / "first").iterdir())[5]
    file.write_bytes(file.read_bytes()[:60])
    assert any(file.name in problem and "cannot be read" in problem for problem in _verified(out))


def test_progress_is_told(tmp_path: Path, turnover: Turnover) -> None:
    """Once a clip."""
    turnover(tmp_path / "out")
    told: list[tuple[int, int]] = []
    verify(tmp_path / "out", Problems(), progress=lambda done, total, _: told.append((done, total)))
    assert told == [(1, 2), (2, 2)]
