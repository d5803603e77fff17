from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from overlays.conditioning.channel import channel_trace
from overlays.errors import LogError, UnitError
from overlays.logs.reader import read_log
from overlays.model.session import ChannelSpec, ReadingPins

from .made import log_of


def channel(**table: object) -> ChannelSpec:
    return ChannelSpec.model_validate({"label": "f", "column": "force", "unit": "N", **table})


def test_converted_to_the_unit_shown() -> None:
    """A trace is in the unit shown: 1 lbf·ft is 1.3558179483314004 N·m (NIST SP 811)."""
    log = log_of([0, 1], force=[1.0, np.nan])
    trace = channel_trace(log, "force", channel(unit="lbf*ft", show="N*m"))
    assert trace.unit == "N*m"
    np.testing.assert_allclose(trace.values, [1.3558179483314004, np.nan], rtol=1e-15)


@pytest.mark.parametrize(
    ("stated", "expected", "steps"),
    [
        (None, 5.0, ()),
        ("N", 5.0, ()),
        ("newton", 5.0, ()),
        ("kN", 5000.0, ("logged in kN",)),
        ("raw", 5.0, ()),
        ("-", 5.0, ()),
    ],
)
def test_unit_the_file_states(stated: str | None, expected: float, steps: tuple[str, ...]) -> None:
    """The file's own unit is believed where it measures the same, and said to be."""
    trace = channel_trace(log_of([0], {"force": stated}, force=[5.0]), "force", channel())
    assert trace.values.tolist() == [pytest.approx(expected)]
    assert trace.steps == steps


@pytest.mark.parametrize(("stated", "flagged"), [("zork", True), ("raw", False), ("-", False)])
def test_a_unit_that_is_not_known_is_flagged(stated: str, *, flagged: bool) -> None:
    """It may be one of another size, so it is not passed over without a word."""
    trace = channel_trace(log_of([0], {"force": stated}, force=[5.0]), "force", channel())
    assert (trace.values.tolist(), bool(trace.flags)) == ([5.0], flagged)
    if flagged:
        assert "'zork' as its unit, which is not known; taken as N" in trace.flags[0]
        assert 'units = { "force" = "N" }' in trace.flags[0]


@pytest.mark.parametrize(("heading", "bar"), [("p [PSI]", 6.894757), ("p (KPA)", 1.0)])
def test_units_in_capitals_are_converted(tmp_path: Path, heading: str, bar: float) -> None:
    """A unit that only its case sets apart is no reason to take the number as it stands."""
    path = tmp_path / "a.csv"
    path.write_text(f"t_s,{heading}\n0,100\n1,100\n", encoding="utf-8")
    trace = channel_trace(read_log(path, file="a.csv"), "p", channel(column="p", unit="bar"))
    assert trace.values[0] == pytest.approx(bar)


def test_contradicting_unit_is_an_error() -> None:
    """A column in degrees where newtons are declared is another quantity."""
    with pytest.raises(LogError, match="measures something else") as caught:
        channel_trace(log_of([0], {"force": "degC"}, force=[5.0]), "force", channel())
    assert (caught.value.file, caught.value.line) == ("one.csv", 1)


@pytest.mark.parametrize(
    ("unit", "pins", "expected"),
    [
        ("N", {}, 5.0),
        ("degC", {}, 5.0),  # the last word is no unit then
        ("kN", {}, None),
        ("kN", {"units": {"Force_N": "kN"}}, 5.0),
        ("kN", {"units": {"Force_N": "N"}}, 0.005),
    ],
)
def test_unit_that_is_only_the_last_word(
    tmp_path: Path, unit: str, pins: dict[str, object], expected: float | None
) -> None:
    """A last word that could be a unit of another size is asked, and a pin decides."""
    path = tmp_path / "a.csv"
    path.write_text("t_s,Force_N\n0,5\n1,5\n", encoding="utf-8")
    log = read_log(path, file="a.csv", pins=ReadingPins.model_validate(pins))
    spec = channel(column="Force_N", unit=unit)
    if expected is None:
        with pytest.raises(LogError, match="by its last word") as caught:
            channel_trace(log, "force", spec)
        assert 'units = { "Force_N" = "kN" }' in caught.value.remedy
    else:
        assert channel_trace(log, "force", spec).values[0] == pytest.approx(expected)


def test_unknown_declared_unit_is_the_session_s_fault() -> None:
    """An unknown unit in the session is told as such."""
    log = log_of([0], {"force": "raw"}, force=[5.0])
    with pytest.raises(UnitError):
        channel_trace(log, "force", channel(unit="nwtn"))


def test_missing_column_is_named() -> None:
    """A column that is not there is told with those that are, and a near one."""
    with pytest.raises(LogError, match="it has 'force'") as caught:
        channel_trace(log_of([0], force=[1.0]), "f", channel(column="forec"))
    assert "Did you mean 'force'?" in caught.value.remedy


def test_header_as_written_will_do() -> None:
    """A column may be named as the file writes it, unit and all."""
    log = log_of([0], force=[1.0])
    assert channel_trace(log, "f", channel()).channel == "f"


@pytest.mark.parametrize(
    ("blanks", "time", "values"),
    [
        ("auto", [0, 0.4], [10, 18]),
        ("straight", [0, 0.4], [10, 18]),
        ("hold", [0, 0.1, 0.2, 0.3, 0.4], [10, 10, 10, 10, 18]),
        ("gaps", [0, 0.1, 0.2, 0.3, 0.4], [10, np.nan, np.nan, np.nan, 18]),
    ],
)
def test_slower_channel(blanks: str, time: list[float], values: list[float]) -> None:
    """Between samples of a slower channel: a straight line, held, or gaps, as declared."""
    nan = float("nan")
    log = log_of([0, 0.1, 0.2, 0.3, 0.4], rows={"force": [0, 4]}, force=[10, nan, nan, nan, 18])
    trace = channel_trace(log, "force", channel(blanks=blanks))
    np.testing.assert_array_equal(trace.time_s, time)
    np.testing.assert_array_equal(trace.values, values)
    if blanks in {"auto", "straight"}:
        assert np.interp(0.1, trace.time_s, trace.values) == pytest.approx(12)


def test_gaps_stay_by_default() -> None:
    """Blanks at no regular rows are gaps, unless a straight line is declared."""
    log = log_of([0, 1, 2, 3], force=[1, np.nan, np.nan, 4])
    assert np.isnan(channel_trace(log, "force", channel()).values).sum() == 2
    assert channel_trace(log, "force", channel(blanks="straight")).time_s.tolist() == [0, 3]


def test_held_before_the_first_sample_is_nothing() -> None:
    """Before a held channel's first sample there is a gap, and its own gaps are held too."""
    nan = float("nan")
    log = log_of([0, 1, 2, 3, 4], rows={"force": [1, 3]}, force=[nan, 5, nan, nan, nan])
    values = channel_trace(log, "force", channel(blanks="hold")).values
    np.testing.assert_array_equal(values, [nan, 5, 5, nan, nan])


def test_declared_missing_values() -> None:
    """Values declared to mean nothing become gaps, whatever unit they are declared in."""
    log = log_of([0, 1, 2], force=[1.0, -9999.0, 3.0])
    trace = channel_trace(log, "force", channel(missing=["-9.999 kN"]))
    np.testing.assert_array_equal(trace.values, [1, np.nan, 3])


def test_empty_column_is_an_error() -> None:
    """A column without any value is one clear error."""
    with pytest.raises(LogError, match="has no values"):
        channel_trace(log_of([0, 1], force=[np.nan, np.nan]), "force", channel())
