"""Axes: round ticks that are exact, scales that come back."""

from __future__ import annotations

import csv
from decimal import Decimal
from pathlib import Path

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from overlays.draw.axis import (
    SLACK,
    Axes,
    Scale,
    log_range,
    log_ticks,
    nice_range,
    nice_ticks,
)
from overlays.draw.patch import Rect
from overlays.draw.sheet import pieces

numbers = st.floats(-1e6, 1e6, allow_nan=False)


@given(low=numbers, high=numbers, most=st.integers(1, 12))
def test_ticks_are_round_inside_and_not_too_many(low: float, high: float, most: int) -> None:
    """Ticks are multiples of 1, 2 or 5 times a power of ten, inside the range, evenly spaced."""
    assume(high - low > 1e-6)
    ticks = nice_ticks(low, high, most)
    assert ticks.step.scaleb(-ticks.step.adjusted()) in {Decimal(1), Decimal(2), Decimal(5)}
    assert len(ticks.numbered) <= most + 1
    for tick in ticks.numbered:
        assert tick % ticks.step == 0
        assert low - float(ticks.step) * 1e-6 <= float(tick) <= high + float(ticks.step) * 1e-6
    assert all(
        b - a == ticks.step for a, b in zip(ticks.numbered, ticks.numbered[1:], strict=False)
    )


def test_ticks_of_tenths_carry_no_dust() -> None:
    """0.1 steps are written 0.3, not 0.30000000000000004, and the last one is there."""
    ticks = nice_ticks(0.0, 0.7, 7)
    assert [str(tick) for tick in ticks.numbered] == [
        "0.0", "0.1", "0.2", "0.3", "0.4", "0.5", "0.6", "0.7",
    ]  # fmt: skip
    assert ticks.places == 1
    assert nice_ticks(0.0, 30.0, 6).places == 0


@pytest.mark.parametrize(
    ("low", "high", "wanted"),
    [
        (2.1, 71.0, (0.0, 80.0)),  # from zero where that costs under half
        (-3.0, 71.0, (-20.0, 80.0)),
        (-0.6, 71.0, (0.0, 80.0)),  # a sensor's noise about zero is worth no step of its own
        (-71.0, 0.6, (-80.0, 0.0)),
        (180.0, 227.0, (180.0, 230.0)),  # far from zero: not from zero
        (-71.0, -2.0, (-80.0, 0.0)),
        (5.0, 5.0, (2.0, 8.0)),  # a flat line has room on both sides
        (0.0, 0.0, (-1.0, 1.0)),
    ],
)
def test_ranges_are_whole_steps_around_the_data(
    low: float, high: float, wanted: tuple[float, float]
) -> None:
    """The axis begins and ends at a tick, and holds the data but for noise about zero."""
    got = nice_range(low, high, 6)
    assert got[0] <= low + SLACK * max(high, 0)
    assert got[1] >= high + SLACK * min(low, 0)
    assert got == pytest.approx(wanted)


def test_no_ticks_without_a_range() -> None:
    """An empty or endless range has none."""
    for low, high in ((1.0, 1.0), (2.0, 1.0), (0.0, float("inf")), (float("nan"), 1.0)):
        with pytest.raises(ValueError, match="no ticks"):
            nice_ticks(low, high, 5)


@given(value=st.floats(-50, 150), start=st.floats(0, 1000), length=st.floats(10, 2000))
def test_pixels_turn_back_into_values(value: float, start: float, length: float) -> None:
    """The way to pixels and back is the identity, upwards and downwards."""
    for end in (start + length, start - length):
        scale = Scale(-50.0, 150.0, start, end)
        assert scale.value(scale.at(value)) == pytest.approx(value, abs=1e-6)
        assert scale.px_per_unit == pytest.approx(length / 200)


def test_minor_ticks_are_those_of_a_rule() -> None:
    """A step is cut in ten with its half marked, in five, in two or not at all, as room allows."""
    ticks = nice_ticks(0.0, 40.0, 4)
    for px, parts in ((400, 10), (100, 5), (40, 2), (20, 1)):
        minor = Scale(0.0, 40.0, px, 0.0).minor(ticks, 4.0)
        assert len(minor) == 4 * (parts - 1)
        halves = [value for value, is_half in minor if is_half]
        assert halves == ([Decimal(n) for n in (5, 15, 25, 35)] if parts in (10, 2) else [])


def test_axes_give_points_with_gaps() -> None:
    """NaN stays NaN on the way to pixels."""
    axes = Axes(Scale(0, 2, 100, 300), Scale(0, 10, 50, 0), Rect(100, 0, 300, 50), "N")
    points = axes.points(np.array([0.0, 1.0, 2.0]), np.array([0.0, np.nan, 10.0]))
    np.testing.assert_array_equal(points, [[100, 50], [200, np.nan], [300, 0]])


@pytest.mark.parametrize(
    ("low", "high", "wanted"),
    [
        (2.1, 64.0, (1.0, 100.0)),
        (0.03, 1.9, (0.01, 2.0)),
        (1.0, 1000.0, (1.0, 1000.0)),
        (1e-9, 50.0, (0.01, 50.0)),  # four powers of ten at most: the rest is noise about zero
        (5.0, 5.0, (1.0, 5.0)),
        (1.0, 1.0, (1.0, 10.0)),
    ],
)
def test_log_ranges_end_at_round_values(
    low: float, high: float, wanted: tuple[float, float]
) -> None:
    """From a power of ten to 1, 2 or 5 times one."""
    assert log_range(low, high) == pytest.approx(wanted)


def test_log_ticks_are_powers_of_ten() -> None:
    """2 and 5 times them are numbered where there are few; each is written as short as it goes."""
    few, many = log_ticks(0.1, 10.0), log_ticks(0.01, 1000.0)
    assert [few.text(tick) for tick in few.numbered] == ["0.1", "0.2", "0.5", "1", "2", "5", "10"]
    assert [many.text(tick) for tick in many.numbered] == [
        "0.01", "0.1", "1", "10", "100", "1000",
    ]  # fmt: skip
    minor = Scale(0.01, 1000.0, 600.0, 0.0, log=True).minor(many, 4.0)
    assert Decimal("0.03") in {value for value, _ in minor}
    assert all(str(value)[-1] != "5" or is_half for value, is_half in minor)
    sparse = Scale(0.01, 1000.0, 60.0, 0.0, log=True).minor(many, 4.0)
    assert {int(value.scaleb(-value.adjusted())) for value, _ in sparse} == {2, 5}


@given(value=st.floats(1e-3, 1e5), start=st.floats(0, 1000), length=st.floats(10, 2000))
def test_pixels_turn_back_into_values_of_a_log_scale(
    value: float, start: float, length: float
) -> None:
    """The way to pixels and back is the identity there, too."""
    scale = Scale(1e-3, 1e5, start, start + length, log=True)
    assert scale.value(scale.at(value)) == pytest.approx(value, rel=1e-6)


def test_what_has_no_logarithm_is_left_open() -> None:
    """Zero and below break the curve; five points are drawn (case chart_log_nonpositive)."""
    case = Path(__file__).parents[1] / "data" / "cases" / "chart_log_nonpositive.csv"
    with case.open(encoding="utf-8") as file:
        rows = [(float(row["t"]), float(row["count"])) for row in csv.DictReader(file)]
    time_s, values = np.array(rows).T
    low, high = log_range(float(values[values > 0].min()), float(values.max()))
    assert (low, high) == (0.1, 100)
    axes = Axes(Scale(0, 6, 0, 600), Scale(low, high, 300, 0, log=True), Rect(0, 0, 600, 300), "")
    points = axes.points(time_s, values)
    inked = np.isfinite(points[:, 1])
    assert inked.sum() == 5
    # The header is line 1 of the file.
    assert [line for line, drawn in enumerate(inked.tolist(), start=2) if not drawn] == [5, 6]
    assert [len(piece) for piece in pieces(points)] == [3, 2]
    assert points[5, 1] == pytest.approx(300)
