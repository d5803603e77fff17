"""Uncertainty of figures, as in the GUM."""

from __future__ import annotations

import math

import pytest

from overlays.errors import Problems
from overlays.model.result import Results
from overlays.scoring.spread import coverage_factor
from overlays.scoring.trust import trust_of
from tests.outside import rows
from tests.scoring.building import TOML, results, session

GAUGE = 'unit = "N"\ninstrument = { of_reading = "1 %", of_range = "0.5 %", range = "200 N" }'
WITH_GAUGE = TOML.replace('unit = "N"', GAUGE)
RATIO = '[figures.r]\nlabel = "r"\nplaces = 3\ntake = "ratio"\n'
ROOT_3 = math.sqrt(3)


def found(values: list[float], more: str = "", *, toml: str = TOML) -> Results:
    runs = {("ash", "hold"): values, ("ash", "pull"): [80.0]}
    return results(session(more, toml=toml), runs, Problems())


def test_type_a_is_s_over_root_n() -> None:
    """GUM 4.2.3 on the GUM's own readings (4.4.3): u = 0.333 with 19 degrees of freedom."""
    (row,) = rows("statistics", "GUM.4.4.3")
    trust = trust_of(found(row.input["t_degC"]), "held", "ash")
    assert trust.type_a == pytest.approx(row.expected["u"], abs=1e-10)
    assert trust.dof == row.expected["nu"]
    assert trust.expanded == pytest.approx(coverage_factor(19) * row.expected["u"])


def test_an_instrument_adds_by_squares() -> None:
    """1 % of 100 N and 0.5 % of 200 N are limits of 1 N each: u = √(1/3 + 1/3) (GUM 4.3.7)."""
    trust = trust_of(found([99.0, 100.0, 101.0], toml=WITH_GAUGE), "held", "ash")
    assert trust.instrument == pytest.approx(math.sqrt(2) / ROOT_3)
    assert trust.type_a == pytest.approx(1 / ROOT_3)
    assert trust.combined == pytest.approx(1.0)
    # Welch-Satterthwaite (GUM G.4.1): 2·(1/(1/√3))⁴ = 18.
    assert trust.dof == pytest.approx(18.0)
    assert trust.expanded == pytest.approx(coverage_factor(18))


@pytest.mark.parametrize(("stated", "divisor"), [("k = 1", 1.0), ("k = 2", 2.0)])
def test_a_calibration_states_its_factor(stated: str, divisor: float) -> None:
    """An expanded uncertainty is divided by its factor, not by √3."""
    toml = TOML.replace(
        'unit = "N"', f'unit = "N"\ninstrument = {{ fixed = "0.002 kN", stated = "{stated}" }}'
    )
    trust = trust_of(found([100.0, 100.0], toml=toml), "held", "ash")
    assert trust.instrument == pytest.approx(2.0 / divisor)


def test_single_runs_have_no_expanded_uncertainty() -> None:
    """The instrument's part is told, but what repeats would do is unknown."""
    trust = trust_of(found([100.0], toml=WITH_GAUGE), "held", "ash")
    assert trust.type_a is None
    assert trust.combined == trust.instrument
    assert trust.expanded is None


def test_a_ratio_across_tests_adds_relative_uncertainties() -> None:
    """100 ± 2 over 80 ± 2 is 1.25 with u = 0.0400 (GUM 5.1.6)."""
    (row,) = rows("ranking", "ratio.uncert")
    (top, u_top), (bottom, u_bottom) = row.input["A"], row.input["B"]
    toml = TOML.replace("repeats = 1", "repeats = 2")
    # Two runs a ± u have s = √2·u and a mean known to u.
    runs = {
        ("ash", "hold"): [top - u_top, top + u_top],
        ("ash", "pull"): [bottom - u_bottom, bottom + u_bottom],
    }
    more = RATIO + 'of = "held"\nby = "pulled"\n'
    trust = trust_of(results(session(more, toml=toml), runs, Problems()), "r", "ash")
    # The runs shown are the lower ones, 98 and 78, which moves the slopes a little.
    shown_top, shown_bottom = top - u_top, bottom - u_bottom
    expected = shown_top / shown_bottom * math.hypot(u_top / shown_top, u_bottom / shown_bottom)
    assert trust.type_a == pytest.approx(expected)
    assert trust.type_a == pytest.approx(row.expected["u"], rel=0.03)


def test_one_gauges_error_cancels_in_its_own_ratio() -> None:
    """Both figures read 1 % high together, so only the fixed part is left (GUM 5.2.2)."""
    more = RATIO + 'of = "held"\nby = "pulled"\n'
    trust = trust_of(found([100.0, 100.0], more, toml=WITH_GAUGE), "r", "ash")
    fixed_part = 1.0 / ROOT_3
    assert trust.instrument == pytest.approx(1.25 * fixed_part * abs(1 / 100 - 1 / 80))


def test_a_fixed_error_cancels_in_a_difference() -> None:
    """An offset is in both; what is left is 1 % of the 20 N between them."""
    more = '[figures.d]\nlabel = "d"\ntake = "difference"\nof = "held"\nby = "pulled"\n'
    trust = trust_of(found([100.0, 100.0], more, toml=WITH_GAUGE), "d", "ash")
    assert trust.instrument == pytest.approx(0.2 / ROOT_3)


def test_an_area_has_its_gauges_error_times_the_time() -> None:
    """400 N·s read 1 % wrong, and 1 N wrong for 4 s."""
    more = '[figures.a]\nlabel = "a"\ntake = "area"\ntest = "hold"\n'
    trust = trust_of(found([100.0, 100.0], more, toml=WITH_GAUGE), "a", "ash")
    assert trust.instrument == pytest.approx(math.hypot(4.0, 4.0) / ROOT_3)


def test_times_hardly_move_with_the_gauge() -> None:
    """A time has no part from the instrument, and an attribute none at all."""
    more = (
        '[figures.t]\nlabel = "t"\ntake = "time_above"\ntest = "hold"\nlevel = "1 N"\n'
        '[figures.p]\nlabel = "p"\ntake = "attribute"\nattribute = "price"\n'
    )
    of = found([100.0, 100.0], more, toml=WITH_GAUGE)
    assert trust_of(of, "t", "ash").instrument is None
    assert trust_of(of, "p", "ash").combined is None
