"""What a turnover claims, and how the claim is read back."""

from __future__ import annotations

import json
import shutil
import subprocess
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from overlays.errors import TurnoverError
from overlays.model.clip import Clip
from overlays.render.batch import Rendered
from overlays.render.cache import digest
from overlays.timecode import Timebase
from overlays.turnover.manifest import (
    make_manifest,
    read_manifest,
    write_manifest,
)
from tests.turnover.building import ALL_TIMEBASES, clip, session

KEYS = [
    "cue", "kind", "beat", "file", "record_in", "first_frame", "frames", "handles", "rate",
    "width", "height", "codec", "alpha", "sha256", "figures", "description",
]  # fmt: skip


def _rendered(folder: Path, made: Clip) -> Rendered:
    path = folder / "clips" / made.file
    path.write_bytes(made.cue.encode())
    return Rendered(made, path, "rendered", (), digest(path))


def _turnover(folder: Path, timebase: Timebase) -> dict[str, Any]:
    clips = [
        clip("late", timebase.frame("10:01:00:08", either_mark=True), 40, timebase),
        clip("early", timebase.frame("10:00:02:00", either_mark=True), 50, timebase),
    ]
    (folder / "clips").mkdir()
    rendered = [_rendered(folder, made) for made in clips]
    made_manifest = make_manifest(session(folder, timebase), rendered, codec="prores4444")
    write_manifest(made_manifest, folder / "manifest.json")
    found: dict[str, Any] = json.loads((folder / "manifest.json").read_text(encoding="utf-8"))
    return found


def test_the_keys_are_those_of_the_contract(tmp_path: Path) -> None:
    """Both levels carry exactly the agreed keys, in the agreed order."""
    found = _turnover(tmp_path, ALL_TIMEBASES[4])
    assert list(found) == ["session", "rate", "canvas", "clips"]
    assert [list(entry) for entry in found["clips"]] == [KEYS, KEYS]
    assert (found["rate"], found["canvas"]) == ("30000/1001", [64, 48])


def test_a_clip_that_leaves_says_so(tmp_path: Path) -> None:
    """One more key, and only of a clip whose tail handle is empty; it is read back."""
    timebase = ALL_TIMEBASES[2]
    made = [clip(cue, 900_000, 50, timebase) for cue in ("stands", "leaves")]
    made[1] = replace(made[1], stage=replace(made[1].stage, leave=12))
    (tmp_path / "clips").mkdir()
    rendered = [_rendered(tmp_path, one) for one in made]
    listed = make_manifest(session(tmp_path, timebase), rendered, codec="prores4444")
    write_manifest(listed, tmp_path / "manifest.json")
    found = json.loads((tmp_path / "manifest.json").read_text(encoding="utf-8"))
    assert {entry["cue"]: entry.get("leaves") for entry in found["clips"]} == {
        "stands": None, "leaves": True,
    }  # fmt: skip
    assert read_manifest(tmp_path / "manifest.json") == listed


@pytest.mark.parametrize("timebase", ALL_TIMEBASES, ids=str)
def test_the_place_of_a_clip_is_its_cues_own(tmp_path: Path, timebase: Timebase) -> None:
    """record_in and first_frame leave the handles out, frames counts them in."""
    early, late = _turnover(tmp_path, timebase)["clips"]
    assert [early["cue"], late["cue"]] == ["early", "late"]
    assert timebase.frame(early["record_in"]) == early["first_frame"]
    assert (early["frames"], early["handles"]) == (70, [12, 8])
    assert early["rate"] == str(timebase.rate)
    assert early["file"] == "clips/early.mov"
    # From closed arithmetic: drop-frame leaves out 2 (4) numbers in the first minute.
    first_minute = 60 * timebase.nominal + 8 - (timebase.nominal // 15 if timebase.drop else 0)
    start = timebase.frame("10:00:00:00", either_mark=True)
    assert late["first_frame"] - start == first_minute


def test_what_is_written_is_read_back(tmp_path: Path) -> None:
    """Reading gives the manifest that was written, and writing it again the same bytes."""
    _turnover(tmp_path, ALL_TIMEBASES[0])
    file = tmp_path / "manifest.json"
    before = file.read_bytes()
    found = read_manifest(file)
    write_manifest(found, file)
    assert file.read_bytes() == before
    assert found.clips[0].figures == ("most.brook", "most.weir")
    assert found.timebase == ALL_TIMEBASES[0]
    assert found.clips[0].cue_frames == 50
    assert found.clips[0].file_first_frame == found.clips[0].first_frame - 12


@pytest.mark.parametrize(
    ("path", "value", "field"),
    [
        (("rate",), 25, "rate"),
        (("more",), 1, "more"),
        (("clips", 0, "frames"), "70", "clips.0.frames"),
        (("clips", 0, "frames"), 0, "clips.0.frames"),
        (("clips", 0, "alpha"), "premultiplied", "clips.0.alpha"),
        (("clips", 0, "sha256"), "00", "clips.0.sha256"),
        (("clips", 1, "handles"), [12], "clips.1.handles"),
        (("clips", 1), None, "clips.1"),
    ],
)
def test_another_form_is_refused(
    tmp_path: Path, path: tuple[Any, ...], value: object, field: str
) -> None:
    """A key that is unknown or of the wrong kind is one error that names it."""
    found: Any = _turnover(tmp_path, ALL_TIMEBASES[0])
    inner = found
    for step in path[:-1]:
        inner = inner[step]
    inner[path[-1]] = value
    (tmp_path / "manifest.json").write_text(json.dumps(found), encoding="utf-8")
    with pytest.raises(TurnoverError) as caught:
        read_manifest(tmp_path / "manifest.json")
    assert caught.value.field is not None
    assert caught.value.field.startswith(field)
    assert caught.value.code == "bad-manifest"


@pytest.mark.parametrize("text", ["", "{", "[]", "null", '{"session": "a"}'])
def test_no_manifest_is_one_clear_error(tmp_path: Path, text: str) -> None:
    """Damaged or missing, the manifest is named, and no traceback of a library gets out."""
    file = tmp_path / "manifest.json"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(TurnoverError, match=r"manifest\.json"):
        read_manifest(file)
    with pytest.raises(TurnoverError, match="cannot be read"):
        read_manifest(tmp_path / "none.json")


def test_words_are_made_harmless(tmp_path: Path) -> None:
    """Control characters of a description do not reach the file."""
    (tmp_path / "clips").mkdir()
    bad = clip("a", 40, 2, ALL_TIMEBASES[1], description="Flow\x1b[2J\nof \u202ea.")
    made = make_manifest(session(tmp_path), [_rendered(tmp_path, bad)], codec="prores4444")
    assert made.clips[0].description == "Flow of a."


def test_a_missing_clip_is_named(tmp_path: Path) -> None:
    """What was not rendered cannot be listed."""
    (tmp_path / "clips").mkdir()
    missing = _rendered(tmp_path, clip("a", 40, 2, ALL_TIMEBASES[1]))
    missing.path.unlink()
    with pytest.raises(TurnoverError, match=r"a\.mov.* is missing"):
        make_manifest(session(tmp_path), [missing], codec="prores4444")


@pytest.mark.skipif(shutil.which("sha256sum") is None, reason="needs GNU coreutils")
def test_the_digest_of_a_folder_is_what_a_shell_says(tmp_path: Path) -> None:
    """``sha256sum * | sha256sum`` (GNU coreutils) inside the folder prints the same digest."""
    for number in range(3):
        (tmp_path / f"a_{number:06}.png").write_bytes(bytes([number]))
    shell = subprocess.run(  # noqa: S602 (a fixed command)
        "LC_ALL=C sha256sum * | sha256sum",  # noqa: S607 (found above)
        shell=True,
        cwd=tmp_path,
        capture_output=True,
        check=True,
        text=True,
    )
    assert digest(tmp_path) == shell.stdout.split()[0]


def test_a_codec_that_is_none_is_a_programming_error(tmp_path: Path) -> None:
    """Codecs were checked at the door; here a wrong one is a ValueError."""
    with pytest.raises(ValueError, match="no codec"):
        make_manifest(session(tmp_path), [], codec="h264")


def test_an_empty_manifest_counts_non_drop(tmp_path: Path) -> None:
    """Without a clip no label says drop-frame."""
    made = make_manifest(session(tmp_path, ALL_TIMEBASES[4]), [], codec="png")
    assert made.timebase == ALL_TIMEBASES[3]
    assert replace(made, rate="25").frame_rate == 25
