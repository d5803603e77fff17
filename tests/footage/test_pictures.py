"""Pictures and sound at given times, from films another FFmpeg wrote."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from overlays.errors import FootageError
from overlays.footage.clock import read_clock
from overlays.footage.pictures import opened_pictures, sound_of
from tests.footage.cameras import SOURCE_HZ, film

HZ = 16000


@pytest.mark.parametrize("shown", ["29.97", "variable"])
def test_the_nearest_picture_is_shown_in_any_order(tmp_path: Path, shown: str) -> None:
    """The grey tells when a picture was taken: forward, far ahead, back, and beyond the end."""
    grey = (40 + np.arange(8 * SOURCE_HZ) // 8).astype(np.uint8)
    file = film(tmp_path / "a.mp4", None, seconds=8, shown=shown, grey=grey, more=("-qp", "4"))
    clock = read_clock(file)
    with opened_pictures(file, clock, 128, 128) as pictures:
        assert (pictures.width, pictures.height) == (128, 72)
        for time_s in (0.0, 0.5, 0.51, 0.52, 7.0, 2.0, 1.9):
            number = clock.nearest(time_s)
            assert number is not None
            wanted = 40 + clock.frames_s[number] * SOURCE_HZ / 8
            assert float(np.median(pictures.at(time_s))) == pytest.approx(wanted, abs=3)
        assert pictures.at(-1.0).max() == 0
        assert pictures.at(60.0).max() == 0


def test_sound_stands_at_its_time(tmp_path: Path) -> None:
    """A track that begins late is silent until then; past its end it is silent again."""
    sound = 0.3 * np.sin(2 * np.pi * 440 * np.arange(2 * HZ) / HZ)
    file = film(tmp_path / "a.mov", sound, sound_hz=HZ, seconds=4, sound_late_s=1.0)
    heard = sound_of(file, read_clock(file), 0.5, 4.0)
    assert heard is not None
    samples, rate = heard
    assert samples.shape == (4 * rate, 2)
    loud = np.abs(samples[:, 0])
    assert loud[: int(0.45 * rate)].max() < 0.01
    assert loud[int(0.55 * rate) : int(2.4 * rate)].max() > 0.25
    assert loud[int(2.7 * rate) :].max() < 0.01
    mute = film(tmp_path / "b.mp4", None, seconds=1)
    assert sound_of(mute, read_clock(mute), 0.0, 1.0) is None


def test_a_sound_recording_has_no_picture(tmp_path: Path) -> None:
    """Asked for its picture, a file with sound alone is one clear error."""
    file = film(tmp_path / "a.mkv", np.zeros(HZ), sound_hz=HZ, more=("-vn",))
    with pytest.raises(FootageError), opened_pictures(file, read_clock(file), 64, 64):
        pass
