from __future__ import annotations

import datetime as dt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.logs.stamps import NO_ZONE, NS, is_stamp, join_stamps, parse_stamps

# Stamps without a zone, as loggers write them.
EARLIEST = dt.datetime.fromisoformat("1970-01-01")
LATEST = dt.datetime.fromisoformat("2099-12-31")


@pytest.mark.parametrize(
    ("text", "date", "clock_s"),
    [
        ("2025-03-11", [2025, 3, 11], None),
        ("11/03/2025", [11, 3, 2025], None),
        ("11.03.25 08:00:00,25", [11, 3, 25], 28800.25),
        ("2025-03-11T10:00:00.125Z", [2025, 3, 11], 36000.125),
        ("20250311T101500.5", [2025, 3, 11], 36900.5),
        ("11-Mar-2025 1:02:03 PM", [11, 103, 2025], 46923.0),
        ("23:59:58.500", [-1, -1, -1], 86398.5),
        ("12:00:00 AM", [-1, -1, -1], 0.0),
        ("12:30:15:250", [-1, -1, -1], 45015.25),
        ("100:00:01", [-1, -1, -1], 360001.0),
        ("01:02.5", [-1, -1, -1], 62.5),
        ("23:59:60", [-1, -1, -1], 86400.0),
    ],
)
def test_fields(text: str, date: list[int], clock_s: float | None) -> None:
    """Dates and times of day are cut into their fields as written."""
    stamps = parse_stamps([text])
    assert stamps.valid.tolist() == [True]
    assert stamps.date[0].tolist() == date
    assert stamps.clock_ns[0] == (-1 if clock_s is None else round(clock_s * NS))


@pytest.mark.parametrize(
    "text",
    [
        "", "12.5", "12345678", "25:61:00", "10:00:61", "2025-03-11T25:00:00", "ERR", "1:2",
        "2025-03", "2025/03-11", "11-Foo-2025", "2025-03-11 10:00:00 XYZ", "13:00:00 PM",
        "12:30:45+25:00", "1" * 60, "٢٠٢٥-٠٣-١١",
    ],
)  # fmt: skip
def test_no_stamps(text: str) -> None:
    """What is no date or time of day is not valid."""
    assert not parse_stamps([text]).valid[0]


@pytest.mark.parametrize(
    ("zone", "minutes"),
    [("Z", 0), ("+01:00", 60), ("-0530", -330), ("+02", 120), (" CEST", 120), (" UTC+3", 180)],
)
def test_zones(zone: str, minutes: int) -> None:
    """Offsets and the usual abbreviations are minutes east of Greenwich."""
    stamps = parse_stamps([f"2025-10-26T02:00:00{zone}", "2025-10-26T02:00:00"])
    assert stamps.zone_min.tolist() == [minutes, NO_ZONE]


def test_many_looks_in_one_column() -> None:
    """Rows of different looks are each read by their own."""
    stamps = parse_stamps(["9:59:59.9", "10:00:00.0", "x", "10:00:00"])
    assert stamps.valid.tolist() == [True, True, False, True]
    assert (stamps.clock_ns[[0, 1, 3]] / NS).tolist() == [35999.9, 36000.0, 36000.0]
    assert len(join_stamps([stamps, stamps.take(stamps.valid)])) == 7


@given(st.datetimes(EARLIEST, LATEST))
def test_iso_against_the_standard_library(moment: dt.datetime) -> None:
    """ISO 8601 is read as Python's own library writes it (an outside check)."""
    text = moment.isoformat(timespec="microseconds")
    stamps = parse_stamps([text])
    clock = dt.timedelta(microseconds=int(stamps.clock_ns[0]) // 1000)
    midnight = moment.replace(hour=0, minute=0, second=0, microsecond=0)
    assert stamps.date[0].tolist() == [moment.year, moment.month, moment.day]
    assert midnight + clock == moment
    assert is_stamp(text)


@given(st.lists(st.text(max_size=60), max_size=20))
def test_any_text_is_a_stamp_or_not(texts: list[str]) -> None:
    """No cell breaks the reader, and one cell does not depend on the others."""
    together = parse_stamps(texts)
    alone = [bool(parse_stamps([text]).valid[0]) for text in texts]
    assert np.array_equal(together.valid, alone)
