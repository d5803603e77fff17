"""Spread and repeatability against NIST's certified values and the GUM."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.scoring.spread import coverage_factor, repeatability, spread_of
from tests.outside import Row, rows

STRD = Path(__file__).parents[1] / "data" / "strd"

# NIST StRD, analysis of variance, "SiRstv": resistivity of silicon on five instruments, five
# repeats each. https://www.itl.nist.gov/div898/strd/anova/SiRstv.html, data from memory; that
# they reproduce every certified digit is the proof that memory served.
SILICON = (
    (196.3052, 196.1240, 196.1890, 196.2569, 196.3403),
    (196.3042, 196.3825, 196.1669, 196.3257, 196.0422),
    (196.1303, 196.2005, 196.2889, 196.0343, 196.1811),
    (196.2795, 196.1748, 196.1494, 196.1485, 195.9885),
    (196.2119, 196.1051, 196.1850, 196.0052, 196.2090),
)
CERTIFIED_RESIDUAL_SD = 1.04076068334656e-01


@pytest.mark.parametrize("row", rows("statistics", "StRD."), ids=lambda row: row.id)
def test_certified_means_and_deviations(row: Row) -> None:
    """NIST StRD: means to the last digit, deviations to what the data's doubles can carry."""
    with (STRD / f"{row.id.removeprefix('StRD.')}.csv").open(encoding="utf-8") as lines:
        values = [float(line["value"]) for line in csv.DictReader(lines)]
    spread = spread_of(values)
    assert spread.n == row.expected["n"]
    assert spread.mean == pytest.approx(float(row.expected["mean"]), rel=1e-14)
    # NumAcc3 and 4 hide a deviation of 0.1 under a mean of ten million.
    hard = row.id in {"StRD.numacc3", "StRD.numacc4"}
    expected = float(row.expected["sd_n-1"])
    assert spread.s == pytest.approx(expected, rel=1e-8 if hard else 1e-13)


def test_the_gums_temperature_readings() -> None:
    """GUM 4.4.3, table 1: twenty readings with mean 100.14, s 1.49 and u 0.33 °C."""
    (row,) = rows("statistics", "GUM.4.4.3")
    spread = spread_of(row.input["t_degC"])
    assert spread.mean == pytest.approx(row.expected["mean"], abs=1e-10)
    assert spread.s == pytest.approx(row.expected["s"], abs=1e-10)
    assert spread.type_a == pytest.approx(row.expected["u"], abs=1e-10)


def test_small_sets_use_n_minus_one() -> None:
    """Textbook: 2 4 4 4 5 5 7 9 has s = 2.138, not 2."""
    (row,) = rows("statistics", "sd_small")
    assert spread_of(row.input).s == pytest.approx(row.expected["sd_n-1"], rel=1e-14)
    (row,) = rows("statistics", "CV")
    assert spread_of(row.input).variation == pytest.approx(row.expected["cv"], abs=1e-14)


def test_one_value_has_no_deviation() -> None:
    """A single run says nothing of scatter, and a mean of zero has no relative one."""
    spread = spread_of([5.0])
    assert (spread.s, spread.type_a, spread.variation) == (None, None, None)
    assert spread_of([-1.0, 1.0]).variation is None


def test_repeatability_is_the_certified_residual_deviation() -> None:
    """NIST StRD SiRstv: pooled within instruments, 0.104076068334656 with 20 degrees of freedom."""
    found = repeatability(SILICON)
    assert found is not None
    assert found.dof == 20
    assert found.s_r == pytest.approx(CERTIFIED_RESIDUAL_SD, rel=1e-11)


def test_the_repeatability_limit_widens_with_few_repeats() -> None:
    """√2·t·s: 2.77 s for a well-known s (ISO 5725-6 says 2.8), but 6.08 s from three repeats."""
    (row,) = rows("statistics", "r_factor_small_n")
    for n, factor in zip(row.input["n_repeats"], row.expected, strict=True):
        found = repeatability([[0.0] * (n - 1) + [1.0]])
        assert found is not None
        assert found.limit / found.s_r == pytest.approx(factor, abs=1e-9)
    (row,) = [row for row in rows("statistics", "r_factor") if row.id == "r_factor"]
    known = coverage_factor(math.inf) * math.sqrt(2)
    assert known == pytest.approx(row.expected["exact"], abs=1e-9)


@pytest.mark.parametrize("row", rows("statistics", "t975."), ids=lambda row: row.id)
def test_coverage_factors_are_students(row: Row) -> None:
    """GUM table G.2: t(0.975) for each number of degrees of freedom."""
    dof = int(row.id.removeprefix("t975.nu"))
    assert coverage_factor(dof) == pytest.approx(row.expected, abs=1e-9)


def test_without_repeats_there_is_no_repeatability() -> None:
    """Single runs cannot be pooled into anything."""
    assert repeatability([[1.0], [2.0], []]) is None


@given(st.lists(st.lists(st.integers(-1000, 1000), min_size=2, max_size=5), min_size=1, max_size=4))
def test_repeatability_ignores_where_entries_lie(groups: list[list[int]]) -> None:
    """Shifting an entry as a whole changes nothing."""
    plain = repeatability(groups)
    moved = repeatability([[value + 17 * place for value in g] for place, g in enumerate(groups)])
    assert plain is not None
    assert moved is not None
    assert moved.s_r == pytest.approx(plain.s_r, rel=1e-9, abs=1e-9)
