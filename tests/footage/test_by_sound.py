"""Runs found by their sound: at their place, or not surely."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
from scipy.signal import correlate

from overlays.footage.by_sound import find_by_sound
from overlays.footage.clock import read_clock
from overlays.footage.found import Found
from overlays.footage.hearing import ROWS_PER_S, Heard, hear, heard_samples
from overlays.footage.shape import shape_of
from overlays.model.trace import FloatArray, Trace
from tests.footage.benches import HZ, bangs, room, run_sound, talk, trace_of, with_run
from tests.footage.cameras import film

FRAME_S = 1001 / 30000
SHOWN = ("29.97", "variable")
FILES = (("mp4", 44100, 0.0), ("mov", 48000, 0.3), ("mkv", 32000, 0.0), ("mp4", 16000, 0.7))


@dataclass(frozen=True)
class Case:
    """A run, the sound of the footage, and where the run's zero lies in it."""

    trace: Trace
    length_s: float
    sound: FloatArray
    zero_s: float


def _case(seed: int, *, what: str | None = None) -> Case:
    """Place a run's sound in a room with voices and things that fall, 12 to 30 dB above it."""
    rng = np.random.default_rng(seed)
    what = what or str(rng.choice(["stop", "steps", "spin"]))
    trace, length_s = trace_of(what, rng)
    seconds = length_s + 14
    around = room(seconds, rng)
    around += bangs(len(around), rng, int(rng.integers(0, 4)))
    if seed % 2:
        around += rng.uniform(0.2, 0.7) * talk(len(around), rng)
    how = str(rng.choice(["loud", "pitch", "loud and pitch"]))
    made = run_sound(trace, how, rng) * 10 ** (rng.uniform(12, 30) / 20)
    sound, zero_s = with_run(around, made, trace, rng.uniform(2, 10))
    return Case(trace, length_s, 0.9 * sound / np.abs(sound).max(), zero_s)


def _filmed(case: Case, path: Path, seed: int) -> tuple[Path, float]:
    """Write the case as footage of one sort or another; return where its zero then lies."""
    ending, hz, late_s = FILES[seed % len(FILES)]
    file = film(
        path.with_suffix(f".{ending}"),
        case.sound,
        sound_hz=HZ,
        shown=SHOWN[seed // 2 % 2],
        sound_late_s=late_s,
        more=("-ar", str(hz)),
    )
    return file, case.zero_s + late_s


def _found(case: Case, file: Path) -> Found:
    return find_by_sound(
        hear(file, read_clock(file)), shape_of(case.trace, case.length_s), others={}
    )


def _heard(sound: FloatArray) -> Heard:
    """Hear a sound without a file, by its samples."""
    return heard_samples(sound, HZ)


@pytest.mark.slow
def test_runs_are_found_within_a_frame_and_never_surely_elsewhere(
    tmp_path: Path, record_property: Callable[[str, object], None]
) -> None:
    """Of twenty films nineteen give the place within a frame; none gives another place surely."""
    right, unsure = 0, 0
    for seed in range(20):
        case = _case(seed)
        file, zero_s = _filmed(case, tmp_path / f"case{seed}", seed)
        found = _found(case, file)
        file.unlink()
        if not found.sure:
            unsure += 1
            continue
        assert found.offset_s is not None
        assert abs(found.offset_s - zero_s) <= FRAME_S, f"seed {seed}: {found}"
        right += 1
    record_property("runs found in footage within a frame", right)
    assert right >= 19
    assert right + unsure == 20


@pytest.mark.parametrize("seed", [2, 3])
def test_a_run_is_found_in_a_film(tmp_path: Path, seed: int) -> None:
    """At a constant and at a variable rate, with a sound track that begins late."""
    case = _case(seed)
    file, zero_s = _filmed(case, tmp_path / "case", seed)
    found = _found(case, file)
    assert found.sure, found
    assert found.offset_s == pytest.approx(zero_s, abs=FRAME_S)
    assert found.error_s is not None
    assert found.error_s <= FRAME_S


def test_the_place_is_that_of_a_plain_correlation() -> None:
    """Without any noise the place is the one scipy.signal.correlate gives for level and trace."""
    rng = np.random.default_rng(5)
    trace, length_s = trace_of("steps", rng)
    made = run_sound(trace, "loud", rng)
    sound, zero_s = with_run(1e-3 * rng.standard_normal(22 * HZ), made, trace, 6.25)
    heard = _heard(sound)
    found = find_by_sound(heard, shape_of(trace, length_s), others={})
    level = np.sqrt(np.mean(10 ** (heard.levels_db / 10), axis=1))
    rows_s = np.arange(trace.time_s[0], trace.time_s[-1], 1 / ROWS_PER_S)
    wanted = np.interp(rows_s, trace.time_s, trace.values)
    lag = int(np.argmax(correlate(level - level.mean(), wanted - wanted.mean(), "valid")))
    plain_s = (lag + heard.first_row) / ROWS_PER_S - trace.time_s[0]
    assert found.sure
    assert found.offset_s == pytest.approx(plain_s, abs=0.02)
    assert found.offset_s == pytest.approx(zero_s, abs=0.01)


@pytest.mark.parametrize("seed", range(4))
def test_a_run_that_is_not_there_is_not_found(seed: int) -> None:
    """A room with voices and bangs, and no run: never sure."""
    rng = np.random.default_rng(100 + seed)
    trace, length_s = trace_of(["stop", "steps", "spin", "stop"][seed], rng)
    sound = room(25, rng)
    sound += bangs(len(sound), rng, 5) + talk(len(sound), rng)
    found = find_by_sound(_heard(sound), shape_of(trace, length_s), others={})
    assert not found.sure
    assert found.why
    assert found.remedy


@pytest.mark.parametrize("seed", range(4))
def test_another_runs_sound_is_no_sure_place(seed: int) -> None:
    """Where only another run is heard, the place is that run's, or not sure."""
    case = _case(200 + seed)
    rng = np.random.default_rng(300 + seed)
    trace, length_s = trace_of(["stop", "steps", "spin", "steps"][seed], rng)
    found = find_by_sound(
        _heard(case.sound),
        shape_of(trace, length_s),
        others={"the other": shape_of(case.trace, case.length_s)},
    )
    assert not found.sure or abs(found.offset_s - case.zero_s) <= FRAME_S  # type: ignore[operator]


def test_a_run_heard_twice_is_unsure_and_both_places_are_told() -> None:
    """Two takes that sound alike: which one is the run, nobody can hear."""
    rng = np.random.default_rng(8)
    trace, length_s = trace_of("stop", rng)
    made = 4 * run_sound(trace, "loud", rng)
    sound, first_s = with_run(room(32, rng), made, trace, 4.0)
    sound, second_s = with_run(sound, made, trace, 19.0)
    found = find_by_sound(_heard(sound), shape_of(trace, length_s), others={})
    assert not found.sure
    assert "fit about as well" in found.why
    told = sorted(place.offset_s for place in found.places[:2])
    assert told == pytest.approx([first_s, second_s], abs=FRAME_S)


@pytest.mark.parametrize("silence", [np.zeros(12 * HZ), np.zeros(HZ)])
def test_silence_is_unsure(silence: FloatArray) -> None:
    """A silent track holds no run, however long it is."""
    rng = np.random.default_rng(1)
    trace, length_s = trace_of("stop", rng)
    found = find_by_sound(_heard(silence), shape_of(trace, length_s), others={})
    assert not found.sure
    assert found.offset_s is None
    assert "silent" in found.why


def test_a_flat_trace_is_unsure() -> None:
    """What never changes cannot be heard; another channel is asked for."""
    time_s = np.arange(-1, 7, 0.002)
    flat = Trace("level", "N*m", time_s, np.full(len(time_s), 3.0))
    assert shape_of(flat, 6.0) is None
    found = find_by_sound(_heard(np.zeros(12 * HZ)), None, others={})
    assert "flat" in found.why
    assert "heard" in found.remedy


def test_gaps_in_the_trace_are_no_silence() -> None:
    """A run with some of its samples missing is found at the same place."""
    rng = np.random.default_rng(12)
    trace, length_s = trace_of("steps", rng)
    sound, zero_s = with_run(room(24, rng), 5 * run_sound(trace, "loud", rng), trace, 9.0)
    values = trace.values.copy()
    for at in rng.integers(0, len(values) - 100, 3):
        values[at : at + 100] = np.nan
    holed = Trace("level", "N*m", trace.time_s, values)
    found = find_by_sound(_heard(sound), shape_of(holed, length_s), others={})
    assert found.offset_s == pytest.approx(zero_s, abs=FRAME_S)


def test_a_run_cut_off_by_the_end_of_the_footage_is_found() -> None:
    """Two thirds of a run are enough, if they are told apart by themselves."""
    rng = np.random.default_rng(15)
    trace, length_s = trace_of("steps", rng)
    sound, zero_s = with_run(room(24, rng), 5 * run_sound(trace, "loud", rng), trace, 10.0)
    found = find_by_sound(_heard(sound[: int(16.5 * HZ)]), shape_of(trace, length_s), others={})
    assert found.offset_s == pytest.approx(zero_s, abs=FRAME_S)
