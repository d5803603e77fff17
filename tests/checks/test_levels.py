"""Narrow-range code values against EBU R 103's preferred range."""

from __future__ import annotations

import numpy as np
import pytest

from overlays.checks.levels import judge_levels, measure_levels, preferred_range
from overlays.checks.ycbcr import codes_from_rgb
from tests.outside import Row, rows


def planes(
    rgb: tuple[float, float, float], *, bits: int = 10, shape: tuple[int, int] = (10, 20)
) -> list[np.ndarray[tuple[int, ...], np.dtype[np.uint16]]]:
    return [np.full(shape, code, np.uint16) for code in codes_from_rgb(rgb, bits=bits)]


def test_the_preferred_range_is_the_published_one() -> None:
    """8 bits: 5 to 246; 10 bits: 44 codes past 64 and 940 (EBU QC item 0051B, quoting R 103)."""
    assert preferred_range(8) == (5, 246)
    assert preferred_range(10) == (64 - 44, 940 + 44)


@pytest.mark.parametrize("row", rows("colour_codes", "bars100"), ids=lambda row: row.id)
def test_colour_bars_are_within(row: Row) -> None:
    """Every bar of 100 % colour bars keeps to the range, in 8 and in 10 bits."""
    expected = row.expected
    for bits in (8, 10):
        codes = expected[f"{bits}bit_YCbCr"]
        y, b, r = (np.full((4, 4), code, np.uint16) for code in codes)
        found = measure_levels(y, b, r, bits=bits)
        assert found.within
        assert found.outside == 0
        assert found.luma == (codes[0], codes[0])


def test_a_colour_past_the_range_is_out_though_its_luma_is_in() -> None:
    """Luma and chroma inside their ranges can still make a red far above white."""
    y, b, r = planes((0.5, 0.5, 0.5))
    r[:] = 960
    found = measure_levels(y, b, r, bits=10)
    assert found.outside == 1
    assert judge_levels(found).verdict == "fail"


def test_up_to_a_hundredth_of_the_area_may_be_out() -> None:
    """Two pixels of 200 are let pass, three are not (R 103: 1 % of the area)."""
    y, b, r = planes((0.5, 0.5, 0.5))
    y[0, :2] = 1000
    assert judge_levels(measure_levels(y, b, r, bits=10)).verdict == "pass"
    y[0, 2] = 1000
    finding = judge_levels(measure_levels(y, b, r, bits=10), frame=7)
    assert finding.verdict == "fail"
    assert finding.frame == 7
    assert "1.5% of the frame" in finding.message


def test_reserved_codes_are_never_right() -> None:
    """One sample with a timing code fails the frame, whatever the area."""
    y, b, r = planes((0.2, 0.2, 0.2), shape=(100, 100))
    b[5, 5] = 1021
    finding = judge_levels(measure_levels(y, b, r, bits=10))
    assert finding.verdict == "fail"
    assert "1 samples hold codes reserved" in finding.message


def test_colour_under_alpha_zero_is_not_judged() -> None:
    """What shows nowhere may have any colour; an empty frame passes."""
    y, b, r = planes((0.5, 0.5, 0.5))
    y[:] = 1000
    alpha = np.zeros(y.shape, np.uint16)
    found = measure_levels(y, b, r, bits=10, alpha=alpha)
    assert found.within
    assert found.luma == (0, 0)


def test_halved_chroma_of_an_odd_frame_is_measured() -> None:
    """4:2:0 planes of an odd-sized frame cover it."""
    y = np.full((5, 7), 126, np.uint8)
    chroma = np.full((3, 4), 128, np.uint8)
    assert measure_levels(y, chroma, chroma, bits=8).within
