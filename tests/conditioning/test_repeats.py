from __future__ import annotations

import pytest

from overlays.conditioning.repeats import median_index


@pytest.mark.parametrize(
    ("values", "index", "remark"),
    [
        ([3.0], 0, ""),
        ([12.0, 10.0, 11.0], 2, ""),
        ([12.0, 10.0], 1, "lower middle of 2"),
        ([4.0, 1.0, 3.0, 2.0], 3, "lower middle of 4"),
        ([5.0, 5.0, 5.0], 1, ""),
        ([None, 2.0, 1.0, 3.0], 1, "1 of 4 without the main figure"),
        ([float("nan"), 2.0], 1, "1 of 2 without the main figure"),
        ([None, None], 0, "first run, for none has the main figure"),
    ],
)
def test_median_run(values: list[float | None], index: int, remark: str) -> None:
    """The middle run by the main figure is shown, the lower one of two, and it says so."""
    assert median_index(values) == (index, remark)


def test_no_runs() -> None:
    """No runs at all is the caller's mistake."""
    with pytest.raises(ValueError, match="no runs"):
        median_index([])
