"""Is the gap real: outside values, and sentences that do not overclaim."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from overlays.errors import FigureError, Problems
from overlays.model.result import Results
from overlays.scoring.gap import (
    critical_difference,
    gap_between,
    permutation_p,
    probability_ahead,
    welch,
)
from overlays.scoring.results import results_of_runs
from tests.outside import Row, rows
from tests.scoring.building import TOML, results, run, session, trace


@pytest.mark.parametrize("name", ["Welch.sleep", "Welch.unbalanced", "Welch.closed"])
def test_welch_against_outside_values(name: str) -> None:
    """Student's sleep data (R's manual), an uneven pair, and a closed form."""
    (row,) = rows("statistics", name)
    expected = row.expected.get("welch", row.expected)
    found = welch(row.input["A"], row.input["B"])
    assert found is not None
    assert found.t == pytest.approx(expected["t"], rel=1e-12)
    assert found.dof == pytest.approx(expected["df"], rel=1e-12)
    if "ci95" in expected:
        assert (found.low, found.high) == pytest.approx(tuple(expected["ci95"]), abs=1e-9)
        assert found.difference == pytest.approx(expected["mean_diff"], abs=1e-9)


@pytest.mark.parametrize(("a", "b"), [([1.0], [2.0, 3.0]), ([1.0, 1.0], [2.0, 2.0])])
def test_welch_needs_scatter(a: list[float], b: list[float]) -> None:
    """A single run, or runs that do not scatter, give no interval."""
    assert welch(a, b) is None


def test_critical_difference_of_iso_5725_6() -> None:
    """s_r = 2 and three runs each: 3.2006 (formula from memory, ISO 5725-6, 4.2.1)."""
    (row,) = rows("bench", "gap.rule")
    example = row.expected["example"]
    found = critical_difference(example["s_r"], example["n"], example["n"])
    assert found == pytest.approx(example["CD95"], rel=1e-9)
    assert critical_difference(2.0, 3, 3, dof=4) == pytest.approx(found * 2.7764451 / 1.959964)


@pytest.mark.parametrize("row", rows("statistics", "minperm."), ids=lambda row: row.id)
def test_complete_separation_has_a_smallest_p(row: Row) -> None:
    """Three against three cannot beat 0.1, four against four 0.029 (exact counting)."""
    n = int(row.id[-1])
    a, b = list(range(n)), [100 + value for value in range(n)]
    assert permutation_p(a, b) == pytest.approx(row.expected["two_sided_exact_p"], rel=1e-12)


def test_three_against_three_is_not_certain() -> None:
    """Resampling says 100 %, the exact test 0.1: the second is what is told."""
    (row,) = rows("statistics", "PAgtB.sep")
    assert permutation_p(row.input["A"], row.input["B"]) == pytest.approx(0.1)
    assert row.expected["mannwhitney_p_exact"] == 0.1


few = st.lists(st.integers(-50, 50), min_size=2, max_size=4)


@given(few, few)
def test_permutation_p_is_scipys(a: list[int], b: list[int]) -> None:
    """SciPy's exhaustive permutation test as a second opinion."""

    def gap(x: list[float], y: list[float]) -> float:
        return abs(float(np.mean(x) - np.mean(y)))

    theirs = stats.permutation_test(
        (np.array(a, float), np.array(b, float)), gap, alternative="greater", vectorized=False
    )
    assert permutation_p(a, b) == pytest.approx(theirs.pvalue)


def test_too_many_runs_to_enumerate_have_no_exact_p() -> None:
    """Twenty against twenty would take for ever, and is not needed."""
    assert permutation_p([0.0] * 20, [1.0] * 20) is None


def test_probability_of_two_normals() -> None:
    """Means 10 and 11, σ = 1, three runs each: 0.88966 (closed form)."""
    (row,) = rows("statistics", "ranknormal")
    (low, high), (n_a, n_b) = row.input["mu"], row.input["n"]
    found = probability_ahead(high - low, row.input["sigma"], n_a, n_b)
    assert found == pytest.approx(row.expected["P(mean_B>mean_A)"], abs=1e-12)


def test_probability_with_an_estimated_deviation_is_students() -> None:
    """With few degrees of freedom the chance is nearer to even; without scatter it is settled."""
    assert probability_ahead(1.0, 1.0, 3, 3, dof=4) < probability_ahead(1.0, 1.0, 3, 3)
    assert [probability_ahead(d, 0.0, 3, 3) for d in (-1.0, 0.0, 1.0)] == [0.0, 0.5, 1.0]


ONE_PLACE = TOML.replace('"mean"', '"mean"\nplaces = 1')


def held(ash: list[float], birch: list[float], *, toml: str = TOML) -> Results:
    return results(session(toml=toml), {("ash", "hold"): ash, ("birch", "hold"): birch}, Problems())


def test_a_gap_beyond_chance_is_told_with_what_three_runs_allow() -> None:
    """Real by both tests, and the sentence still says how few runs it was."""
    of = held([50.0, 50.4, 49.8], [40.0, 40.2, 39.9], toml=ONE_PLACE)
    gap = gap_between(of, "held", "ash", "birch")
    assert (gap.real, gap.reason) == (True, "")
    assert gap.p == pytest.approx(0.1)
    assert (gap.shown, gap.ahead, gap.n_a, gap.n_b) == ("10.0", "ash", 3, 3)
    assert gap.sentence == (
        "Ash is 10.0 N ahead of Birch in “held”, more than the 0.6 N that chance explains, "
        "though 3 runs each are too few to be certain."
    )


def test_a_gap_within_the_repeats_is_a_tie() -> None:
    """What repeats of one entry differ by is no lead."""
    gap = gap_between(held([50.0, 44.0, 47.0], [46.0, 41.0, 48.0]), "held", "ash", "birch")
    assert gap.real is False
    assert gap.sentence == (
        "Ash and Birch are 1.0 N apart in “held”, but their runs overlap, so call it a tie."
    )


def test_a_gap_of_two_runs_each_is_no_tie_only_because_they_are_few() -> None:
    """Far beyond the scatter of one entry's quiet pair, Welch's interval still holds zero."""
    gap = gap_between(held([64.3, 64.7], [52.8, 50.4], toml=ONE_PLACE), "held", "ash", "birch")
    assert (gap.real, gap.reason) == (None, "2 runs each are too few to call it")
    assert gap.critical is not None
    assert gap.critical < 12.9
    assert gap.sentence == (
        "Ash is 13.9 N ahead of Birch in “held”, but 2 runs each are too few to call it."
    )


def test_many_runs_may_be_certain() -> None:
    """With five runs each the exact p is 0.008, and nothing is hedged."""
    ash, birch = [50.0, 50.1, 50.2, 49.9, 49.8], [40.0, 40.1, 39.9, 40.2, 39.8]
    gap = gap_between(held(ash, birch), "held", "ash", "birch")
    assert gap.sentence.endswith("that chance explains.")


def test_single_runs_cannot_tell() -> None:
    """One run each says who was ahead, not whether that would come again."""
    gap = gap_between(held([50.0], [40.0]), "held", "ash", "birch")
    assert (gap.real, gap.critical, gap.welch) == (None, None, None)
    assert gap.reason == "on single runs: nobody can say if that would come again"
    assert gap.sentence.endswith(f", {gap.reason}.")
    uneven = gap_between(held([50.0, 50.2], [40.0]), "held", "ash", "birch")
    assert uneven.critical is not None
    assert uneven.real is None
    assert "without repeats of both" in uneven.sentence


def test_equal_values_as_shown_are_level() -> None:
    """What a viewer sees as equal is told as level, whatever the hidden digits."""
    gap = gap_between(held([50.04], [49.96]), "held", "ash", "birch")
    assert (gap.shown, gap.ahead) == ("0.0", None)
    assert gap.sentence == "Ash and Birch are level in “held”, as shown."


def test_lower_may_be_better() -> None:
    """The lead goes to the better value, and the amount has no sign."""
    toml = TOML.replace('"mean"', '"mean"\nbetter = "lower"')
    gap = gap_between(held([50.0], [40.0], toml=toml), "held", "ash", "birch")
    assert gap.ahead == "birch"
    assert gap.sentence.startswith("Birch is 10.0 N ahead of Ash")


def test_percentages_differ_by_percentage_points() -> None:
    """62 % and 55 % are 7 percentage points apart, not 7 %."""
    (row,) = rows("ranking", "pct.points")
    toml = TOML.replace('unit = "N"', 'unit = "%"').replace('"mean"', '"mean"\nplaces = 0')
    runs = tuple(
        run(entry, "hold", 1, trace([value] * 5, unit="%"))
        for entry, value in (("ash", 62.0), ("birch", 55.0))
    )
    gap = gap_between(results_of_runs(session(toml=toml), runs, Problems()), "held", "ash", "birch")
    assert f"{row.expected['percentage_points']} percentage points ahead" in gap.sentence


def test_a_missing_figure_has_no_gap() -> None:
    """An entry without the figure cannot be compared, and the error says why."""
    with pytest.raises(FigureError, match="no run of Hold"):
        gap_between(held([50.0], []), "held", "ash", "birch")


repeats = st.lists(st.floats(10, 90), min_size=2, max_size=4)


@given(repeats, repeats)
def test_a_gap_looks_the_same_from_either_side(a: list[float], b: list[float]) -> None:
    """Turning the entries round turns signs round and changes no verdict."""
    found = held(a, b)
    one = gap_between(found, "held", "ash", "birch")
    other = gap_between(found, "held", "birch", "ash")
    assert one.real == other.real
    assert one.ahead == other.ahead
    assert one.p == other.p
    if one.welch and other.welch:
        assert math.isclose(one.welch.difference, -other.welch.difference, abs_tol=1e-9)
