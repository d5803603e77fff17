"""The other FFmpeg's view of our clips: a second decoder for every codec."""

from __future__ import annotations

import shutil
from pathlib import Path

import numpy as np
import pytest

from overlays.checks.decode_back import STATED_ERROR_LEVELS, difference
from overlays.checks.probe import probe
from overlays.checks.second_opinion import second_decode, second_probe
from overlays.errors import TurnoverError
from overlays.model.clip import CODECS
from tests.checks.conftest import Written


@pytest.mark.parametrize("codec", CODECS)
def test_both_programs_see_the_same_clip(written: Written, codec: str) -> None:
    """Size, codec, frame count, rate and timecode agree between two builds of FFmpeg."""
    ours, theirs = probe(written.files[codec]), second_probe(written.files[codec])
    assert theirs.codec == ours.codec
    assert (theirs.width, theirs.height, theirs.frames) == (ours.width, ours.height, ours.frames)
    assert theirs.timecode == ours.timecode
    if ours.rate is not None:
        assert theirs.fps == "29.97"


def test_the_other_program_reads_the_tags_of_prores(written: Written) -> None:
    """Narrow range, BT.709 in all three and progressive, as it prints them."""
    found = second_probe(written.files["prores4444"])
    assert found.tags == ("tv", "bt709", "progressive")
    assert found.pixel_format == "yuva444p12le"


@pytest.mark.parametrize("codec", CODECS)
def test_the_other_decoder_shows_what_was_drawn(written: Written, codec: str) -> None:
    """Frames read as the tags say look as drawn, its off-by-one alpha allowed for."""
    file = written.files[codec]
    frames = list(second_decode(file, second_probe(file)))
    assert len(frames) == 8
    for pixels, drawn in zip(frames, written.frames, strict=True):
        allowed = STATED_ERROR_LEVELS[codec] + (codec in ("prores4444", "vp9"))
        assert difference(pixels, drawn).levels <= allowed


def test_stopping_early_ends_the_program(written: Written) -> None:
    """A reader that stops after one frame leaves no program behind."""
    file = written.files["qtrle"]
    frames = second_decode(file, second_probe(file))
    first = next(frames)
    frames.close()  # type: ignore[attr-defined]
    assert np.array_equal(first, written.frames[0])


@pytest.mark.parametrize("name", ["concat:a 100% %05d – Öl.mov", "-i.mov"])
def test_odd_names_are_files_and_nothing_else(written: Written, tmp_path: Path, name: str) -> None:
    """A name that looks like a protocol, a pattern or an option is only a name."""
    file = tmp_path / name
    shutil.copyfile(written.files["qtrle"], file)
    assert second_probe(file).frames == 8


def test_an_unreadable_file_is_one_clear_error(tmp_path: Path, written: Written) -> None:
    """What the other program cannot read is named with its own words."""
    file = tmp_path / "text.mov"
    file.write_text("no film")
    with pytest.raises(TurnoverError) as caught:
        second_probe(file)
    assert caught.value.file == "text.mov"
    with pytest.raises(TurnoverError):
        list(second_decode(file, second_probe(written.files["ffv1"])))
