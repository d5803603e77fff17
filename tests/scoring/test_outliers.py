"""Grubbs, Dixon and Cochran against tables, an example and simulation."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.scoring.outliers import (
    cochran_critical,
    cochran_flag,
    dixon_critical,
    dixon_ratio,
    flags_of,
    grubbs_critical,
    grubbs_statistic,
)
from tests.outside import Row, rows

GRUBBS = rows("statistics", "Grubbs.n")
DIXON = rows("statistics", "Dixon.n")


@pytest.mark.parametrize("row", GRUBBS, ids=lambda row: row.id)
def test_grubbs_critical_values(row: Row) -> None:
    """NIST/SEMATECH e-Handbook 1.3.5.17.1; a printed table's 2.202 for n = 7 is a misprint."""
    n = row.input["n"]
    assert grubbs_critical(n, level=0.05) == pytest.approx(row.expected["two_sided_0.05"], abs=1e-9)
    assert grubbs_critical(n, level=0.01) == pytest.approx(row.expected["two_sided_0.01"], abs=1e-9)
    assert grubbs_critical(n, level=0.05) < row.expected["max_possible"]


def test_grubbs_example() -> None:
    """The handbook's eight masses: G = 2.4687 at 245.57, beyond its critical value."""
    (row,) = rows("statistics", "Grubbs.example")
    g, place = grubbs_statistic(row.input)
    assert g == pytest.approx(row.expected["G"], abs=1e-10)
    assert row.input[place] == 245.57
    assert any(flag.test == "Grubbs" and flag.kind == "outlier" for flag in flags_of(row.input))


@pytest.mark.parametrize("row", DIXON, ids=lambda row: row.id)
def test_dixon_critical_values_are_two_sided(row: Row) -> None:
    """The exact density (Dixon 1951); 0.970 for three values, not a one-sided table's 0.941."""
    n = row.input["n"]
    kind = row.expected["r10(Q)" if n < 8 else "r11"]
    assert dixon_critical(n, level=0.05) == pytest.approx(kind["two_sided_0.05"], abs=5e-4)
    assert dixon_critical(n, level=0.01) == pytest.approx(kind["two_sided_0.01"], abs=5e-4)


@pytest.mark.parametrize("n", [3, 5, 7, 8, 10])
def test_dixon_flags_one_clean_set_in_forty_at_either_end(n: int) -> None:
    """Simulation as a second opinion: normal values pass the 5 % value 2.5 % of the time an end."""
    rng = np.random.default_rng(n)
    ranked = np.sort(rng.normal(size=(200_000, n)), axis=1)
    inner = 1 if n >= 8 else 0
    low = (ranked[:, 1] - ranked[:, 0]) / (ranked[:, -1 - inner] - ranked[:, 0])
    high = (ranked[:, -1] - ranked[:, -2]) / (ranked[:, -1] - ranked[:, inner])
    for end in (low, high):
        share = float(np.mean(end > dixon_critical(n, level=0.05)))
        assert share == pytest.approx(0.025, abs=0.0015)


def test_dixon_ratio_by_hand() -> None:
    """Of 1, 2, 10 the last stands off by 8 of 9; of eight values the other end is left out."""
    eight = [0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 20.0]
    for values, ratio, place in (
        ([2.0, 10.0, 1.0], 8 / 9, 1),
        ([-8.0, 1.0, 2.0], 9 / 10, 0),
        (eight, 14 / 19, 7),
    ):
        found, where = dixon_ratio(values)
        assert found == pytest.approx(ratio)
        assert where == place


def test_cochran_critical_values() -> None:
    """ISO 5725-2, table 4 (values from memory): 0.871, 0.768 and 0.684 for three repeats at 5 %."""
    for entries, five, one in ((3, 0.871, 0.942), (4, 0.768, 0.864), (5, 0.684, 0.788)):
        assert cochran_critical(entries, 3, level=0.05) == pytest.approx(five, abs=6e-4)
        assert cochran_critical(entries, 3, level=0.01) == pytest.approx(one, abs=6e-4)


def test_cochran_finds_the_entry_that_scatters() -> None:
    """One run 16 off among four quiet entries is found, which Grubbs misses with three repeats."""
    groups = [[70.0, 70.4, 69.7], [67.0, 66.2, 67.9], [62.7, 46.8, 61.9], [53.7, 53.1, 53.8]]
    flag = cochran_flag(groups)
    assert flag is not None
    assert (flag.place, flag.kind) == (2, "outlier")
    assert flags_of(groups[2]) == ()


@pytest.mark.parametrize("groups", [[], [[1.0]], [[1.0, 2.0], [3.0]], [[1.0, 1.0], [2.0, 2.0]]])
def test_cochran_needs_entries_that_scatter(groups: list[list[float]]) -> None:
    """One entry, single runs or no scatter at all flag nobody."""
    assert cochran_flag(groups) is None


@pytest.mark.parametrize("values", [[], [1.0], [1.0, 9.0], [3.0, 3.0, 3.0]])
def test_too_few_or_equal_repeats_are_not_flagged(values: list[float]) -> None:
    """Two runs cannot say which of them is off."""
    assert flags_of(values) == ()


def test_a_flag_says_what_it_found() -> None:
    """Test, level, statistic and critical value stand in the words."""
    (grubbs, dixon) = flags_of([50.0, 50.001, 50.002, 40.0])
    assert grubbs.place == dixon.place == 3
    assert grubbs.words() == "outlier by Grubbs's test at 1 % (1.500 > 1.496)"
    assert dixon.words() == "outlier by Dixon's test at 1 % (1.000 > 0.921)"


def test_of_three_runs_one_test_is_asked() -> None:
    """For three values Grubbs' G follows from Dixon's ratio; the numbers told are told apart."""
    (flag,) = flags_of([50.0, 50.0595, 40.0])
    assert (flag.test, flag.place) == ("Dixon", 2)
    assert flag.words() == "outlier by Dixon's test at 1 % (0.9941 > 0.9940)"


@given(st.lists(st.floats(-1e3, 1e3), min_size=3, max_size=10), st.floats(-1e3, 1e3))
def test_flags_do_not_depend_on_where_zero_lies(values: list[float], shift: float) -> None:
    """Shifting all repeats flags the same ones."""
    values = [round(value, 1) for value in values]
    moved = [value + round(shift, 1) for value in values]
    strong = [flag.place for flag in flags_of(values) if flag.statistic > flag.critical + 1e-6]
    places = [flag.place for flag in flags_of(moved)]
    assert set(strong) <= set(places)
