from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from scipy import optimize, signal

from overlays.conditioning.lowpass import (
    both_ways,
    butterworth_sections,
    channel_class_sections,
    design_corner_hz,
)
from overlays.model.trace import FloatArray
from tests.outside import Row, rows

CLASSES = [row for row in rows("signal", "CFC") if "fs" in row.input]


def gain_db(sections: FloatArray, hz: float, rate_hz: float) -> float:
    """Return the gain of both passes."""
    _, response = signal.sosfreqz(sections, [hz], fs=rate_hz)
    return float(40 * np.log10(np.abs(response[0])))


@pytest.mark.parametrize("order", [1, 2, 3, 4, 6, 8])
@pytest.mark.parametrize("share", [0.001, 0.02, 0.2, 0.45])
def test_cutoff_is_where_both_passes_are_3_db_down(order: int, share: float) -> None:
    """The declared cutoff is the -3.01 dB point of the result (|H|² = 1/2 by definition)."""
    sections = butterworth_sections(1000 * share, 1000.0, order)
    assert gain_db(sections, 1000 * share, 1000.0) == pytest.approx(-3.0103, abs=1e-3)


@pytest.mark.parametrize("row", rows("signal", "BW.corr"), ids=lambda row: row.id)
def test_correction_of_the_corner(row: Row) -> None:
    """The corner is raised by (√2 - 1)^(1/2n), 0.802 at order 2 (Winter, Biomechanics)."""
    order = int(row.id.rpartition(".")[2])
    # At a low cutoff the warped axis is the plain one.
    assert 1e-3 / design_corner_hz(1e-3, 1000.0, order) == pytest.approx(
        row.expected["fc_design = fc /"], rel=1e-9
    )


def test_single_pass_is_scipys() -> None:
    """At the corner itself one pass is -3.01 dB, as in SciPy and the closed form."""
    (row,) = rows("signal", "BW.2.coeffs")
    corner = 100.0
    cutoff = np.arctan(np.tan(np.pi * 0.1) * (np.sqrt(2) - 1) ** 0.25) * 1000 / np.pi
    (section,) = butterworth_sections(float(cutoff), 1000.0, 2)
    assert design_corner_hz(float(cutoff), 1000.0, 2) == pytest.approx(corner, rel=1e-12)
    np.testing.assert_allclose(section[:3], row.expected["b"], atol=1e-12)
    np.testing.assert_allclose(section[3:], row.expected["a"], atol=1e-12)


@pytest.mark.parametrize("row", CLASSES, ids=lambda row: row.id)
def test_channel_classes(row: Row) -> None:
    """Coefficients and -3 dB points are those of SAE J211-1 and ISO 6487."""
    rate, expected = float(row.input["fs"]), row.expected
    sections = channel_class_sections(row.input["CFC"], rate)
    found = [*sections[0, :3], -sections[0, 4], -sections[0, 5]]
    wanted = [expected[key] for key in ("a0", "a1", "a2", "b1", "b2")]
    np.testing.assert_allclose(found, wanted, atol=1e-12)
    half_db = float(20 * np.log10(0.5))

    def beyond(hz: float) -> float:
        return gain_db(sections, hz, rate) - half_db / 2

    point = optimize.brentq(beyond, 1.0, rate * 0.45)
    assert point == pytest.approx(expected["-3dB_two_pass_Hz"], abs=0.01)
    nominal = gain_db(sections, expected["nominal_-3dB_Hz"], rate)
    assert nominal == pytest.approx(expected["gain_two_pass_at_nominal_dB"], abs=1e-6)


def test_channel_class_stays_in_the_standard_s_band() -> None:
    """At the nominal limit of its class the result is 3 dB down within half a decibel (J211)."""
    (row,) = rows("signal", "CFC.min_fs")
    table: Any = row.expected
    for name, limit in zip(row.input["CFC"][:3], table["-3dB_Hz"][:3], strict=True):
        sections = channel_class_sections(name, 10.0 * name * 2)
        assert gain_db(sections, limit, 20.0 * name) == pytest.approx(-3.0, abs=0.5)


def test_sine_keeps_its_phase() -> None:
    """A sine at the cutoff comes out at 1/√2 of its height, and not a sample late."""
    time = np.arange(2000) / 1000
    sine = np.sin(2 * np.pi * 50 * time)
    smooth = both_ways(sine, butterworth_sections(50, 1000, 4), rate_hz=1000, corner_hz=56)
    np.testing.assert_allclose(smooth[500:1500], sine[500:1500] / np.sqrt(2), atol=1e-4)


def test_step_undershoots_and_crosses_half_way() -> None:
    """Zero-phase filtering crosses a step half way, and swings to both sides by as much."""
    (row,) = rows("signal", "step.BW2")
    step = (np.arange(2000) >= 1000).astype(float)
    sections = signal.butter(2, 10, fs=1000, output="sos")
    smooth = both_ways(step, sections, rate_hz=1000, corner_hz=10)
    assert smooth.max() - 1 == pytest.approx(row.expected["zero_phase_overshoot"], abs=1e-6)
    assert smooth.min() == pytest.approx(row.expected["zero_phase_undershoot"], abs=1e-6)
    assert np.interp(0.5, smooth[990:1010], np.arange(990, 1010)) == pytest.approx(
        row.expected["zero_phase_50%_crossing_index"], abs=1e-6
    )


def test_scipy_as_a_second_opinion_away_from_the_ends() -> None:
    """Inside, the result is SciPy's own."""
    values = np.random.default_rng(0).normal(size=4000)
    sections = butterworth_sections(30, 1000, 4)
    ours = both_ways(values, sections, rate_hz=1000, corner_hz=33)
    theirs = signal.sosfiltfilt(sections, values)
    np.testing.assert_allclose(ours[500:-500], theirs[500:-500], atol=1e-9)


@pytest.mark.parametrize("n", [1, 2, 3, 10])
def test_short_and_flat_pieces(n: int) -> None:
    """A flat piece stays flat however short it is, and a gap stays one."""
    values = np.array([*[5.0] * n, np.nan, *[7.0] * n])
    smooth = both_ways(values, butterworth_sections(5, 1000, 4), rate_hz=1000, corner_hz=6)
    np.testing.assert_allclose(smooth, values, rtol=1e-9)
