"""How evenly samples came."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.logs.evenness import hole_limit_s, is_even, neighbour_steps, uneven


@pytest.mark.parametrize(
    ("time", "limit"),
    [
        ([0, 1, 3, 4], 1.8),
        ([0, 0.1, 0.2, 0.3, 0.5], 0.18),
        # Samples as they came have no usual step, and so no holes.
        ([0, 40, 95, 150, 260], None),
        ([0.012, 0.023, 0.026, 0.044, 0.1], None),
        ([0], None),
    ],
)
def test_limit(time: list[float], limit: float | None) -> None:
    """Where samples come evenly, a step of nearly two is a hole."""
    found = hole_limit_s(np.array(time, dtype=float))
    assert found == (None if limit is None else pytest.approx(limit))


@pytest.mark.parametrize(("jitter", "even"), [(0.0, True), (0.02, True), (0.2, False)])
def test_evenness(jitter: float, *, even: bool) -> None:
    """Small jitter is immaterial, large is not, and the limit can be moved."""
    steps = 1 + jitter * np.random.default_rng(0).uniform(-1, 1, 1000)
    assert is_even(steps) is even
    assert is_even(steps, jitter=0.25)


@pytest.mark.parametrize(
    ("steps_s", "words"),
    [
        ([0.0012, 0.002, 0.002, 0.0034], "samples come 1.2 to 3.4 ms apart instead of 2.0 ms"),
        ([0.5, 1.5, 1.5, 3.0], "samples come 0.5 to 3.0 s apart instead of 1.5 s"),
        ([9e-6, 20e-6, 20e-6, 33e-6], "samples come 9 to 33 µs apart instead of 20 µs"),
        ([0.012, 0.02, 0.02, 0.034], "samples come 12 to 34 ms apart instead of 20 ms"),
        ([0.002, 0.002, 0.002], ""),
        ([], ""),
    ],
)
def test_unevenness_in_words(steps_s: list[float], words: str) -> None:
    """Shortest, longest and usual step stand in the unit that suits them."""
    assert uneven(np.array(steps_s)) == words


@given(st.integers(200, 900), st.integers(3, 4))
def test_rounded_stamps_of_an_even_clock_are_even(rate: int, places: int) -> None:
    """300 samples a second, stamped to the millisecond, come 3, 3 and 4 ms apart."""
    time = np.round(np.arange(500) / rate, places)
    assert uneven(np.diff(time)) == ""


def test_stamps_that_stray_are_no_rounding() -> None:
    """Steps of 3 and 4 ms without order are further from an even count than rounding explains."""
    steps = np.random.default_rng(1).choice([0.003, 0.004], 500)
    assert uneven(steps) == "samples come 3.0 to 4.0 ms apart instead of 4.0 ms"


def test_missing_samples_and_resets_are_no_jitter() -> None:
    """A lost row and a clock that begins again do not make the sampling uneven."""
    time = np.array([0.0, 1, 2, 3, 5, 6, 7, 0, 1, 2, 3])
    np.testing.assert_array_equal(neighbour_steps(time), np.ones(8))
