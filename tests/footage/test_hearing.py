"""Levels in bands, against levels that can be worked out by hand."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from overlays.errors import FootageError
from overlays.footage.clock import read_clock
from overlays.footage.hearing import hear, heard_samples
from overlays.footage.pictures import sound_of
from tests.footage.cameras import film


def test_a_tone_has_its_level_in_its_band() -> None:
    """A sine of amplitude 0.1 has -23 dB of full scale, and little of it leaks far away."""
    hz = 44100
    tone = 0.1 * np.sin(2 * np.pi * 1000 * np.arange(hz) / hz)
    levels_db = heard_samples(tone, hz).levels_db
    together = 10 * np.log10(np.sum(10 ** (levels_db.astype(float) / 10), axis=1))
    # 10 log10(0.1² / 2), by hand.
    assert together == pytest.approx(-23.01, abs=0.1)
    assert levels_db[:, -1].max() < -70


def test_rows_do_not_depend_on_where_blocks_are_cut() -> None:
    """Half a minute measured in blocks has the same rows as its last five seconds alone."""
    hz = 16000
    sound = np.random.default_rng(2).standard_normal(30 * hz) / 10
    whole, end = heard_samples(sound, hz), heard_samples(sound[25 * hz :], hz)
    first = end.first_row + 25 * 200 - whole.first_row
    assert whole.levels_db[first:] == pytest.approx(end.levels_db, abs=1e-3)


def test_footage_without_sound_is_told(tmp_path: Path) -> None:
    """A film without a sound track is one error that says so."""
    file = film(tmp_path / "mute.mp4", None, seconds=1)
    with pytest.raises(FootageError) as caught:
        hear(file, read_clock(file))
    assert caught.value.code == "no-sound"


def test_sound_that_nothing_decodes_is_no_sound(tmp_path: Path) -> None:
    """Cameras add tracks of their own kinds: those are passed over, and pictures are seen."""
    file = film(tmp_path / "a.mkv", np.zeros(44100), seconds=1)
    stored = file.read_bytes()
    assert stored.count(b"A_VORBIS") == 1
    file.write_bytes(stored.replace(b"A_VORBIS", b"A_UNKNOW"))
    clock = read_clock(file)
    with pytest.raises(FootageError, match="no sound track that can be heard"):
        hear(file, clock)
    assert sound_of(file, clock, 0.0, 1.0) is None
