from __future__ import annotations

import numpy as np
import pytest

from overlays.errors import LogError
from overlays.logs.dayorder import by_order, days_of
from overlays.logs.notes import NoteBook
from overlays.logs.stamps import parse_stamps
from overlays.model.session import ReadingPins


def days(*texts: str) -> list[int]:
    stamps = parse_stamps(texts)
    clock_ns = np.where(stamps.clock_ns < 0, 0, stamps.clock_ns)
    found = days_of(stamps, clock_ns, ReadingPins(), NoteBook(), file="a.csv", line=1)
    return [int(day) for day in found - found[0]]


def test_rows_years_apart_are_not_meant() -> None:
    """Where one order puts rows on the same day of other years, another one is meant."""
    assert days("25/03/11", "25/03/12", "25/03/14") == [0, 1, 3]
    assert days("13/02/25", "14/02/25") == [0, 1]


def test_rows_that_run_over_midnight_tell() -> None:
    """Seconds before and after midnight lie side by side in one order only."""
    assert days("1/2/2025 23:59:58", "1/2/2025 23:59:59", "1/3/2025 00:00:00") == [0, 0, 1]
    assert days("2/1/2025 23:59:58", "2/1/2025 23:59:59", "3/1/2025 00:00:00") == [0, 0, 1]


def test_days_or_months_are_asked() -> None:
    """Daily rows that could be monthly ones are asked, with both pins."""
    with pytest.raises(LogError) as caught:
        days("03/04/2025", "04/04/2025")
    assert 'date_order = "day first" or date_order = "month first"' in caught.value.remedy


def test_no_date_in_that_order() -> None:
    """An order that makes no dates gives nothing."""
    assert by_order(parse_stamps(["31/02/2025"]), "day first") is None
