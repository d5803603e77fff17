from __future__ import annotations

from datetime import datetime

import numpy as np
import pytest

from overlays.errors import LogError
from overlays.logs.clock import Clock, counted_time, numeric_time
from overlays.logs.names import column_name
from overlays.logs.notes import NoteBook
from overlays.model.session import ReadingPins


def clock(
    values: list[float], name: str = "time", rate: float | None = None, **pins: object
) -> Clock:
    return numeric_time(
        np.array(values),
        column_name(name),
        ReadingPins.model_validate(pins),
        NoteBook(),
        rate_hz=rate,
        file="a.csv",
        line=1,
    )


@pytest.mark.parametrize(
    ("name", "values", "seconds"),
    [
        ("time_s", [0, 0.5], [0, 0.5]),
        ("t [ms]", [0, 1, 3], [0, 0.001, 0.003]),
        ("t (us)", [0, 250], [0, 0.00025]),
        ("time [min]", [0, 0.5], [0, 30]),
        ("time (h)", [1, 1.5], [3600, 5400]),
        ("t", [0, 0.1, 0.2], [0, 0.1, 0.2]),
        ("t", [0, 1, 2], [0, 1, 2]),
    ],
)
def test_units(name: str, values: list[float], seconds: list[float]) -> None:
    """The stated unit counts; without one, seconds."""
    assert clock(values, name).time_s.tolist() == seconds


def test_milliseconds_are_divided_exactly() -> None:
    """Whole milliseconds give the doubles nearest to their decimals."""
    found = clock([float(i) for i in range(1, 2000)], "t_ms").time_s
    assert found.tolist() == [float(f"{i}e-3") for i in range(1, 2000)]


def test_stated_rate_tells_the_unit() -> None:
    """A rate in the preamble decides between seconds and milliseconds."""
    assert clock([0, 10, 20], rate=100.0).unit == "ms"
    assert clock([0, 0.01, 0.02], rate=100.0).unit == "s"


def test_spreadsheet_days() -> None:
    """Serial days count from 30 December 1899 (ISO/IEC 29500-1, 18.17.4.1)."""
    found = clock([45292.3958333333, 45292.3958449074, 45292.3958506944], "stamp")
    assert found.time_s.tolist() == [0.0, 1.0, 1.5]
    assert found.began == datetime.fromisoformat("2024-01-01T09:30:00")


@pytest.mark.parametrize(
    ("values", "unit"),
    [
        ([1.7e9 + 0.25, 1.7e9 + 0.5], "s"),
        ([1.7e12, 1.7e12 + 250], "ms"),
        ([1.7e15, 1.7e15 + 250000], "us"),
    ],
)
def test_since_1970(values: list[float], unit: str) -> None:
    """Large numbers count from 1970 (POSIX.1, 4.16)."""
    found = clock(values, "timestamp")
    assert (found.unit, found.time_s.tolist()) == (unit, [0.0, 0.25])
    assert found.began is not None
    assert found.began.year == 2023


@pytest.mark.parametrize(
    "values",
    [[0, 10, 20], list(range(601)), [45292.25, 45292.5], [1700000000, 1700000020]],
)
def test_asked(values: list[float]) -> None:
    """Whole numbers in large steps, or far up, may be milliseconds, and round ones days: asked."""
    with pytest.raises(LogError) as caught:
        clock(values)
    assert caught.value.code == "unclear-time-unit"


def test_pinned_unit_wins() -> None:
    """A pinned unit needs no asking."""
    assert clock([0, 10, 20], time_unit="ms").time_s.tolist() == [0, 0.01, 0.02]


def test_no_unit_of_time() -> None:
    """A time in newtons is an error."""
    with pytest.raises(LogError, match="no unit of time"):
        clock([0, 1], "time [N]")


def test_counted() -> None:
    """Rows are counted at the stated rate."""
    assert counted_time(3, 50.0, NoteBook(), source="as pinned").time_s.tolist() == [0, 0.02, 0.04]
