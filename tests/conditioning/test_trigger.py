from __future__ import annotations

import numpy as np
import pytest

from overlays.conditioning.trigger import crossing


@pytest.mark.parametrize(
    ("time", "values", "level", "expected"),
    [
        # Worked by hand: linear interpolation; touching counts; first of two crossings.
        ([0, 0.1, 0.2, 0.3], [0, 2, 6, 12], 5, 0.175),
        ([0, 1, 2], [0, 5, 9], 5, 1.0),
        ([0, 1, 2, 3, 4], [0, 6, 4, 6, 8], 5, 5 / 6),
        ([0, 1, 2], [0, 4.99, 3], 5, None),
        ([0, 1, 2], [7, 8, 9], 5, None),
        # Noise round the level does not trigger before the trace has been at rest.
        ([0, 1, 2, 3, 4], [7, 4, 6, 0, 10], 5, 3.5),
        # Passed across a gap: the moment is not known; the next one is.
        ([0, 1, 2, 3, 4], [0, np.nan, 8, 0, 10], 5, 3.5),
        ([0, 1, 2], [0, np.nan, 8], 5, None),
    ],
)
def test_crossing(
    time: list[float], values: list[float], level: float, expected: float | None
) -> None:
    """Time 0 lies where the level is reached from rest, between the samples."""
    found = crossing(np.array(time), np.array(values, float), level=level, rearm=level / 5)
    assert found == (None if expected is None else pytest.approx(expected, rel=1e-12))


def test_falling_is_rising_upside_down() -> None:
    """A falling edge triggers where the mirrored rising one does."""
    time, values = np.arange(5.0), np.array([0.0, 1.0, 4.0, 9.0, 16.0])
    rising = crossing(time, values, level=6.0, rearm=0.5)
    assert crossing(time, -values, level=-6.0, rearm=-0.5, rising=False) == rising
