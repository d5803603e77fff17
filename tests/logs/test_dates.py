from __future__ import annotations

from datetime import datetime

import pytest

from overlays.errors import LogError
from overlays.logs.clock import Clock
from overlays.logs.dates import stamped_time
from overlays.logs.notes import NoteBook
from overlays.logs.stamps import parse_stamps
from overlays.model.session import ReadingPins


def clock(*texts: str, times: list[str] | None = None, **pins: object) -> Clock:
    return stamped_time(
        parse_stamps(texts),
        parse_stamps(times) if times else None,
        ReadingPins.model_validate(pins),
        NoteBook(),
        file="a.csv",
        line=1,
    )


@pytest.mark.parametrize(
    ("texts", "seconds"),
    [
        (["2025-02-28", "2025-03-01"], [0, 86400]),
        (["2024-02-28", "2024-03-01"], [0, 2 * 86400]),
        (["30-Jan-2025", "01-Feb-2025"], [0, 2 * 86400]),
        (["13/02/25", "14/02/25"], [0, 86400]),
        (["02/13/2025", "02/14/2025"], [0, 86400]),
        (["01.02.2025", "02.02.2025"], [0, 86400]),
        (["23:59:59", "00:00:01"], [0, 2]),
        (["11:59:59 PM", "12:00:01 AM"], [0, 2]),
        (["00:00:00.000", "30:00:00.500"], [0, 108000.5]),
        (["59:59.5", "60:00.5"], [0, 1]),
        (["2025-10-26T02:59:59+02:00", "2025-10-26T02:00:00+01:00"], [0, 1]),
        (["2025-10-26 02:59:59 CEST", "2025-10-26 02:00:00 CET"], [0, 1]),
    ],
)
def test_seconds(texts: list[str], seconds: list[float]) -> None:
    """Orders, leap years, midnight, halves of the day and zones give the right seconds."""
    assert clock(*texts).time_s.tolist() == seconds


def test_two_columns() -> None:
    """Date and time of day may stand apart."""
    found = clock("11.03.2025", "12.03.2025", times=["23:59:59", "00:00:00"])
    assert found.time_s.tolist() == [0, 1]
    assert found.began == datetime.fromisoformat("2025-03-11T23:59:59")


def test_unclear_order_that_changes_nothing() -> None:
    """Within one day the order of day and month does not matter, and is not asked."""
    assert clock("03/04/2025 10:00:00", "03/04/2025 10:00:01").time_s.tolist() == [0, 1]


@pytest.mark.parametrize(
    ("order", "days"), [("day first", 1), ("month first", 31), ("year first", None)]
)
def test_pinned_order(order: str, days: int | None) -> None:
    """A pinned order decides, and one that makes no dates is an error."""
    texts = ("03/04/2025", "04/04/2025")
    if days is None:
        with pytest.raises(LogError, match="no order"):
            clock(*texts, date_order=order)
    else:
        assert clock(*texts, date_order=order).time_s[1] == days * 86400


def test_repeated_hour_at_the_usual_pace() -> None:
    """The end of summer time is passed where the rows go on at their pace."""
    texts = [f"2025-10-26 {clock}" for clock in ("02:59:58", "02:59:59", "02:00:00", "02:00:01")]
    assert clock(*texts).time_s.tolist() == [0, 1, 2, 3]


def test_other_steps_back_are_not_repeated_hours() -> None:
    """A step back of another size stays one."""
    texts = [f"2025-10-26 {clock}" for clock in ("02:59:58", "02:59:59", "02:30:00", "02:30:01")]
    assert clock(*texts).time_s[2] < 0


def test_pinned_zone() -> None:
    """A zone settles the repeated hour (IANA: Vienna, 26 October 2025 at 01:00 UTC)."""
    texts = [f"2025-10-26 {h}:30:00" for h in ("01", "02", "02", "03")]
    assert clock(*texts, zone="Europe/Vienna").time_s.tolist() == [0, 3600, 7200, 10800]
    spring = ["2025-03-30 01:59:59", "2025-03-30 03:00:00"]
    assert clock(*spring, zone="Europe/Vienna").time_s.tolist() == [0, 1]
    with pytest.raises(LogError, match="not a time zone"):
        clock(*spring, zone="Europe/Nowhere")


@pytest.mark.parametrize(
    ("texts", "code"),
    [
        (["03/04/2025", "04/04/2025"], "unclear-date-order"),
        (["13/04/2025", "04/14/2025"], "mixed-stamps"),
        (["2025-02-29", "2025-03-01"], "mixed-stamps"),
        (["2025-03-11", "11/03/2025"], "mixed-stamps"),
        (["2025-03-11 10:00:00", "10:00:01"], "mixed-stamps"),
        (["2025-03-11T10:00:00Z", "2025-03-11T10:00:01"], "mixed-stamps"),
        (["10:00", "10:01"], "unclear-time-fields"),
    ],
)
def test_asked(texts: list[str], code: str) -> None:
    """What can be read in two ways, or in none, is an error."""
    with pytest.raises(LogError) as caught:
        clock(*texts)
    assert caught.value.code == code
