"""A camera file's clock, read from films another FFmpeg wrote."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from overlays.errors import FootageError
from overlays.footage.clock import FootageClock, read_clock
from overlays.footage.hearing import ROWS_PER_S, hear
from tests.footage.cameras import film

HZ = 48000


def _noise(seconds: float) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """Return a second and a half of near silence, then noise, which ends at two and a half."""
    rng = np.random.default_rng(1)
    sound = 0.001 * rng.standard_normal(int(seconds * HZ))
    sound[int(1.5 * HZ) : int(2.5 * HZ)] += 0.2 * rng.standard_normal(HZ)
    return sound


@pytest.mark.parametrize(
    ("name", "shown", "late_s", "more"),
    [
        ("a.mp4", "29.97", 0.0, ()),
        ("late.mp4", "variable", 0.7, ()),
        ("early.mp4", "29.97", -0.5, ()),  # written with an edit list
        ("plain.mov", "variable", 0.3, ("-c:a", "pcm_s16le")),
        ("rounded.mkv", "29.97", 0.25, ()),  # stamps in whole milliseconds
        ("opus.mkv", "29.97", 0.0, ("-c:a", "libopus")),
        ("broadcast.ts", "29.97", 0.0, ()),  # stamps that begin at a second and a half
    ],
)
def test_sound_stands_at_its_time_in_the_picture(
    tmp_path: Path, name: str, shown: str, late_s: float, more: tuple[str, ...]
) -> None:
    """Noise begins and ends where it was put, whatever the container does to time stamps."""
    file = film(
        tmp_path / name, _noise(4), sound_hz=HZ, shown=shown, sound_late_s=late_s, more=more
    )
    clock = read_clock(file)
    heard = hear(file, clock)
    loud = np.nanmean(heard.levels_db[:, 8:14], axis=1)
    rows = np.flatnonzero(loud > (np.nanmin(loud) + np.nanmax(loud)) / 2)
    begin_s, end_s = ((row + heard.first_row) / ROWS_PER_S for row in (rows[0], rows[-1]))
    assert begin_s == pytest.approx(1.5 + late_s, abs=0.012)
    assert end_s == pytest.approx(2.5 + late_s, abs=0.012)
    assert clock.frames_s[0] == 0
    assert (np.diff(clock.frames_s) > 0).all()


def test_pictures_are_counted_as_they_are_shown(tmp_path: Path) -> None:
    """29.97 pictures a second stand a thirtieth apart; of a variable rate none is steady."""
    steady = read_clock(film(tmp_path / "a.mp4", None, seconds=2))
    assert len(steady.frames_s) == 60
    assert steady.step_s == pytest.approx(1001 / 30000)
    assert steady.nearest(0.999) == 30
    assert steady.nearest(9.0) is None
    varied = read_clock(film(tmp_path / "b.mp4", None, seconds=2, shown="variable"))
    assert len(set(np.round(np.diff(varied.frames_s), 6))) > 3


@pytest.mark.parametrize(
    ("name", "first", "label"),
    [
        ("a.mov", "10:00:00:00", "10:00:01:29"),  # 59.94 pictures in two seconds: the 60th shows
        ("b.mkv", "10:00:00;02", "10:00:02;01"),
    ],
)
def test_a_camera_counts_by_its_own_timecode(
    tmp_path: Path, name: str, first: str, label: str
) -> None:
    """Labels go on from the first picture's, dropped or not as it is written."""
    clock = read_clock(film(tmp_path / name, None, seconds=1, more=("-timecode", first)))
    assert clock.timecode == first
    assert clock.label(2.0) == label


def test_without_a_timecode_there_is_no_label() -> None:
    """Nothing is made up, nor where the label makes no sense."""
    frames_s = np.arange(50) / 25
    assert FootageClock(0.0, frames_s, 2.0).label(1.0) is None
    assert FootageClock(0.0, frames_s, 2.0, "tape four").label(1.0) is None


def test_what_is_no_plain_film_is_one_error(tmp_path: Path) -> None:
    """Nothing there, a text, an empty file, and playlists that name other files or addresses."""
    film(tmp_path / "real.mp4", None, seconds=1)
    for name, content in {
        "text.mp4": b"not a film" * 99,
        "empty.mp4": b"",
        "list.mp4": b"ffconcat version 1.0\nfile real.mp4\n",
        "live.mp4": b"#EXTM3U\n#EXT-X-TARGETDURATION:9\n#EXTINF:9,\nhttp://192.0.2.1/a.ts\n",
        "cut.mp4": (tmp_path / "real.mp4").read_bytes()[:600],
    }.items():
        (tmp_path / name).write_bytes(content)
        with pytest.raises(FootageError) as caught:
            read_clock(tmp_path / name)
        assert caught.value.code == "unreadable-footage", name
        assert caught.value.file == name
    for missing in (tmp_path / "none.mp4", tmp_path):
        with pytest.raises(FootageError) as caught:
            read_clock(missing)
        assert caught.value.code == "no-footage"
