from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.conditioning.run import condition
from overlays.errors import LogError, SessionError
from overlays.model.run import Run
from overlays.model.trace import FloatArray, Segment

from .made import REF, log_of, session_of

TIME = np.arange(4000) / 1000
TEST: dict[str, Any] = {
    "trigger": {"channel": "force", "level": "10 N", "rearm": "3 N"},
    "zero": {"start": "-0.8 s", "end": "-0.1 s", "channels": ["force"]},
    "filters": {"force": {"kind": "butterworth", "cutoff": "20 Hz"}},
}


def bench() -> FloatArray:
    """A rise to 50 N at 1 s on an offset of 4 N, with noise."""
    shape = np.where(TIME > 1, 50 * (1 - np.exp(-(TIME - 1) / 0.1)), 0.0)
    return shape + 4 + np.random.default_rng(0).normal(0, 0.2, len(TIME))


def run(values: FloatArray, test: dict[str, Any] | None = None, **channel: Any) -> Run:
    return condition(log_of(TIME, force=values), REF, session_of(test or TEST, channel))


def test_the_whole_way() -> None:
    """Offset, trigger and filter come out right, and every step is said."""
    trace = run(bench()).traces["force"]
    assert trace.steps == ("zeroed", "20 Hz zero-phase")
    assert trace.flags == ()
    assert np.interp(-0.5, trace.time_s, trace.values) == pytest.approx(0, abs=0.1)
    assert trace.values[-500:].mean() == pytest.approx(50, abs=0.05)
    # 10 N of 50 N are reached 0.1 s * ln(1.25) after the rise begins (closed form).
    assert trace.time_s[0] == pytest.approx(-1 - 0.1 * np.log(1.25), abs=0.003)


@given(st.sampled_from(["N", "kN", "lbf", "kgf"]), st.sampled_from(["N", "kN", "lbf", "kgf"]))
def test_conditioning_commutes_with_units(logged: str, shown: str) -> None:
    """Converted before or after conditioning, the trace is the same (Pint's factors)."""
    factor = {"N": 1.0, "kN": 1000.0, "lbf": 4.4482216152605, "kgf": 9.80665}
    found = run(bench() / factor[logged], unit=logged, show=shown).traces["force"]
    plain = run(bench()).traces["force"]
    np.testing.assert_allclose(found.values * factor[shown], plain.values, atol=1e-8)
    np.testing.assert_allclose(found.time_s, plain.time_s, atol=1e-9)


@given(st.floats(-1e5, 1e5))
def test_a_shift_of_the_clock_changes_nothing(shift: float) -> None:
    """Where the logger's clock starts does not matter."""
    log = log_of(TIME + shift, force=bench())
    found = condition(log, REF, session_of(TEST)).traces["force"]
    plain = run(bench()).traces["force"]
    np.testing.assert_allclose(found.time_s, plain.time_s, atol=1e-6)
    np.testing.assert_allclose(found.values, plain.values, atol=1e-4)


@given(st.sets(st.integers(1100, 3900), max_size=30))
def test_a_gap_never_becomes_a_number(places: set[int]) -> None:
    """Gaps are gaps after conditioning, at their own time, and nowhere else."""
    values = bench()
    values[list(places)] = np.nan
    found = run(values).traces["force"]
    gaps = np.isnan(found.values)
    assert np.flatnonzero(gaps).tolist() == sorted(places)
    assert np.abs(found.values[~gaps]).max() < 60


def test_offset_temperatures() -> None:
    """A temperature logged in °F and shown in °C, then zeroed, is a rise in °C."""
    fahrenheit = 68 + np.where(TIME > 1, 9.0, 0.0)
    zero = {"zero": {"start": "0 s", "end": "0.9 s", "channels": ["force"]}}
    trace = run(fahrenheit, zero, unit="degF", show="degC").traces["force"]
    assert trace.values[-1] == pytest.approx(5.0)
    plain = run(fahrenheit, {"label": "x"}, unit="degF", show="degC").traces["force"]
    assert plain.values[0] == pytest.approx(20.0)


def test_spikes_gaps_and_bridges_as_declared() -> None:
    """Spikes are replaced and short gaps bridged only where the session says so."""
    values = bench()
    values[2000] += 30.0
    values[3000:3005] = np.nan
    declared = TEST | {
        "spikes": {"force": {"window": "21 ms"}},
        "gaps": {"bridge": "10 ms"},
    }
    trace = run(values, declared).traces["force"]
    assert trace.steps[:2] == ("1 spike removed", "1 gap up to 0.01 s bridged")
    assert not np.isnan(trace.values).any()
    assert np.isnan(run(values).traces["force"].values).sum() == 5


def test_lost_lines_are_gaps() -> None:
    """Samples missing from an even log leave a gap, which is not bridged."""
    keep = np.ones(len(TIME), bool)
    keep[2000:2100] = False
    log = log_of(TIME[keep], force=bench()[keep])
    assert np.isnan(condition(log, REF, session_of(TEST)).traces["force"].values).sum() == 1
    wide = session_of(TEST | {"gaps": {"longer_than": "1 s"}})
    assert not np.isnan(condition(log, REF, wide).traces["force"].values).any()


def test_saturation_is_flagged() -> None:
    """Readings at the sensor's declared limit are flagged on the trace."""
    trace = run(np.minimum(bench(), 50.0), limits=["-50 N", "0.05 kN"]).traces["force"]
    assert any("at a limit of the sensor" in flag for flag in trace.flags)


def test_reset_clock_is_asked() -> None:
    """Which stretch between clock resets is the run, only the session can say."""
    log = log_of([0, 1, 2, 0, 1], force=[1, 2, 3, 4, 5])
    log = replace(log, segments=(Segment(2, 3, 2.0), Segment(5, 2, 1.0)))
    with pytest.raises(LogError, match="2 segments") as caught:
        condition(log, REF, session_of({"label": "x"}))
    assert (caught.value.code, caught.value.line) == ("clock-reset", 5)
    assert "tests.stop.reading" in caught.value.remedy


def test_errors_name_their_place() -> None:
    """A fault of the session names its line and field, one of the log its file."""
    high = TEST | {"filters": {"force": {"kind": "butterworth", "cutoff": "900 Hz"}}}
    with pytest.raises(SessionError) as caught:
        run(bench(), high)
    assert (caught.value.file, caught.value.line) == ("session.toml", 20)
    assert caught.value.field == "tests.stop.filters.force.cutoff"
    never = TEST | {"trigger": {"channel": "force", "level": "900 N", "rearm": "3 N"}}
    with pytest.raises(LogError) as told:
        run(bench(), never)
    assert told.value.file == "one.csv"


def test_uneven_sampling_is_flagged_with_and_without_a_filter() -> None:
    """Beyond the declared share, the flag tells how far apart samples came; nothing is changed."""
    time = np.cumsum(np.tile([0.0012, 0.002, 0.0034, 0.002, 0.002], 400))
    log = log_of(time, force=np.linspace(0, 20, len(time)))
    words = "samples come 1.2 to 3.4 ms apart instead of 2.0 ms"
    plain = condition(log, REF, session_of({})).traces["force"]
    assert plain.flags == (words,)
    np.testing.assert_allclose(plain.time_s, time - time[0], atol=1e-12)
    filters = {"filters": {"force": {"kind": "butterworth", "cutoff": "20 Hz"}}}
    filtered = condition(log, REF, session_of(filters)).traces["force"]
    assert (filtered.flags, filtered.steps[0]) == ((words,), "resampled at 500/s")
    allowed = condition(log, REF, session_of({"jitter": "80 %"})).traces["force"]
    assert allowed.flags == ()
