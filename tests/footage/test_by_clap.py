"""A run found by a clap of hands or a slate."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from overlays.errors import FootageError
from overlays.footage.by_clap import claps
from overlays.footage.clock import read_clock
from overlays.footage.events import Event
from tests.footage.cameras import film

HZ = 44100


def bench(seconds: float, *claps_at: tuple[float, float], seed: int = 1) -> NDArray[np.float64]:
    """Return a bench that hums and swells in a noisy room, with claps of a height each."""
    rng = np.random.default_rng(seed)
    time_s = np.arange(round(seconds * HZ)) / HZ
    swell = 0.5 + 0.5 * np.tanh((time_s - seconds / 2) * 2)
    sound = rng.normal(0, 0.004, len(time_s)) + 0.05 * swell * np.sin(2 * np.pi * 180 * time_s)
    for at_s, height in claps_at:
        after_s = time_s - at_s
        # A clap is a burst of noise that dies away within some hundredths of a second.
        burst = rng.normal(0, height, len(time_s)) * np.exp(-np.maximum(after_s, 0) / 0.02)
        sound += np.where(after_s >= 0, burst, 0)
    return sound


def heard(file: Path, sound: NDArray[np.float64], **options: object) -> tuple[Event, ...]:
    film(file, sound, sound_hz=HZ, **options)  # type: ignore[arg-type]
    return claps(file, read_clock(file))


@pytest.mark.parametrize("shown", ["29.97", "variable"])
@pytest.mark.parametrize(("at_s", "late_s"), [(2.513, 0.0), (4.871, 0.4)])
def test_a_clap_is_found_within_what_is_said(
    tmp_path: Path, shown: str, at_s: float, late_s: float
) -> None:
    """To a few thousandths of a second, wherever the sound track begins."""
    film_name = tmp_path / "a.mov"
    (event,) = heard(film_name, bench(8, (at_s, 0.3)), shown=shown, sound_late_s=late_s)
    first_s = 1 / 30 if shown == "variable" else 0.0  # the first picture may not be the scene's
    assert abs(event.time_s - at_s - late_s) <= event.within_s + first_s
    assert event.within_s < 0.01


def test_a_bench_that_starts_is_no_clap(tmp_path: Path) -> None:
    """What swells, and what hums at one pitch only, stays out of it."""
    assert heard(tmp_path / "a.mov", bench(8)) == ()


def test_two_claps_are_both_found(tmp_path: Path) -> None:
    """In order of time, about as strong as each other."""
    found = heard(tmp_path / "a.mov", bench(8, (2.0, 0.3), (5.0, 0.28)))
    assert [event.time_s for event in found] == pytest.approx([2.0, 5.0], abs=0.01)
    assert found[0].strength == pytest.approx(found[1].strength, rel=0.2)


def test_a_film_without_sound_is_told(tmp_path: Path) -> None:
    """There is nothing to be heard in it."""
    film(tmp_path / "a.mp4", None, seconds=2)
    clock = read_clock(tmp_path / "a.mp4")
    with pytest.raises(FootageError) as caught:
        claps(tmp_path / "a.mp4", clock)
    assert caught.value.code == "no-sound"
