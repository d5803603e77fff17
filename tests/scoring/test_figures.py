"""Figures of entries: the run shown, the repeats, ratios, units, and what is missing."""

from __future__ import annotations

import math

import pytest

from overlays.errors import Problems
from overlays.model.result import Figure
from overlays.scoring.results import results_of_runs
from tests.outside import rows
from tests.scoring.building import TOML, flat_run, results, run, session, trace

HOLD = ("ash", "hold")
RATIO = '[figures.r]\nlabel = "r"\ntake = "ratio"\nplaces = 3\n'


def one(more: str, figure: str, ash: list[float], pull: list[float] | None = None) -> Figure:
    """Return a figure of Ash, worked out from flat runs."""
    values = {HOLD: ash} | ({("ash", "pull"): pull} if pull else {})
    return results(session(more), values).figures[figure, "ash"]


def test_the_value_is_that_of_the_median_run() -> None:
    """The run in the middle by the main figure is shown, and every repeat is kept."""
    figure = one("", "held", [50.0, 40.0, 46.0])
    assert (figure.value, figure.shown, figure.median_repeat) == (46.0, "46", 3)
    assert figure.repeats == (50.0, 40.0, 46.0)
    assert (figure.spread, figure.n, figure.unit, figure.test) == (10.0, 3, "N", "hold")


def test_with_an_even_count_the_lower_middle_run_is_shown() -> None:
    """No average is ever shown, for it was never measured."""
    found = results(session(), {HOLD: [40.0, 50.0]})
    assert found.figures["held", "ash"].value == 40.0
    assert found.repeats[HOLD].remark == "lower middle of 2"


def test_other_figures_come_from_the_same_run() -> None:
    """The median run by the main figure gives every figure of the test, its own median or not."""
    peaks = {1: 90.0, 2: 70.0, 3: 80.0}
    more = '[figures.top]\nlabel = "top"\ntake = "peak"\ntest = "hold"\n'
    runs = tuple(
        run(
            "ash", "hold", repeat, trace([mean, mean, mean, peaks[repeat]], time_s=[0, 1, 2, 2.001])
        )
        for repeat, mean in {1: 20.0, 2: 30.0, 3: 40.0}.items()
    )
    found = results_of_runs(session(more), runs, Problems())
    assert found.figures["held", "ash"].median_repeat == 2
    assert found.figures["top", "ash"].value == 70.0


def test_a_ratio_by_an_attribute() -> None:
    """46 N for 10 EUR is 4.6 N/EUR, run by run."""
    figure = one(RATIO + 'of = "held"\nby = "price"\n', "r", [50.0, 40.0, 46.0])
    assert (figure.value, figure.unit, figure.shown) == (4.6, "N/EUR", "4.600")
    assert figure.repeats == (5.0, 4.0, 4.6)
    assert figure.test == "hold"


def test_a_ratio_of_like_things_has_no_unit_or_percent() -> None:
    """45 N of a claimed 90 N is a half, or 50 %."""
    plain = one(RATIO + 'of = "held"\nby = "claimed"\n', "r", [45.0])
    percent = one(RATIO + 'of = "held"\nby = "claimed"\nunit = "%"\n', "r", [45.0])
    assert (plain.value, plain.unit) == (0.5, "")
    assert (percent.value, percent.unit) == (50.0, "%")


def test_a_ratio_across_tests_takes_the_runs_shown() -> None:
    """Tests are not run together, so a ratio across them has no repeats of its own."""
    figure = one(RATIO + 'of = "pulled"\nby = "held"\n', "r", [50.0, 40.0, 46.0], [23.0])
    assert figure.value == pytest.approx(0.5)
    assert (figure.repeats, figure.test, figure.median_repeat, figure.n) == ((), None, None, 1)


def test_a_difference_and_an_attribute_are_figures_too() -> None:
    """Two figures subtract in the first one's unit; an attribute can be shown and scored."""
    more = (
        '[figures.d]\nlabel = "d"\ntake = "difference"\nof = "held"\nby = "claimed"\n'
        '[figures.p]\nlabel = "p"\ntake = "attribute"\nattribute = "price"\nplaces = 2\n'
    )
    assert one(more, "d", [45.0]).value == -45.0
    price = one(more, "p", [45.0])
    assert (price.shown, price.unit, price.n) == ("10.00", "EUR", 0)


@pytest.mark.parametrize("unit", ["", 'unit = "%"\n'])
def test_a_difference_of_shares_is_in_percentage_points(unit: str) -> None:
    """100 % less 50 % are 50 percentage points, also where the figure is declared in percent."""
    share = (
        '[figures.{0}]\nlabel = "{0}"\ntake = "ratio"\nunit = "%"\nof = "held"\nby = "claimed"\n'
    )
    more = share.format("r") + share.format("q").replace('of = "held"', 'of = "price"').replace(
        'by = "claimed"', 'by = "price"'
    )
    more += f'[figures.d]\nlabel = "d"\ntake = "difference"\nof = "q"\nby = "r"\nplaces = 0\n{unit}'
    figure = one(more, "d", [45.0])
    assert figure.value == pytest.approx(50.0)
    assert (figure.shown, figure.unit) == ("50", "pp")


def test_figures_of_figures_are_worked_out() -> None:
    """A ratio may be made of a ratio."""
    more = RATIO + 'of = "held"\nby = "price"\n'
    more += '[figures.s]\nlabel = "s"\ntake = "ratio"\nof = "r"\nby = "claimed"\n'
    figure = one(more, "s", [45.0])
    assert figure.value == pytest.approx(4.5 / 90)
    assert figure.unit == "1/EUR"


def test_operands_are_not_rounded() -> None:
    """A ratio is taken of the measured values, not of those shown."""
    assert one(RATIO + 'of = "held"\nby = "price"\n', "r", [12.3456]).value == pytest.approx(
        1.23456
    )


def test_a_figure_is_shown_in_its_own_unit() -> None:
    """The unit declared is converted to; a spread of temperatures converts as a difference."""
    toml = TOML.replace('unit = "N"\n', 'unit = "degC"\n')
    more = '[figures.f]\nlabel = "f"\ntake = "range"\ntest = "hold"\nunit = "degF"\n'
    warm = run("ash", "hold", 1, trace([20.0, 30.0, 30.0], unit="degC"))
    found = results_of_runs(session(more, toml=toml), (warm,), Problems())
    figure = found.figures["f", "ash"]
    assert figure.value == pytest.approx(18.0)
    assert figure.unit == "delta_degF"


def test_what_is_missing_says_why_and_is_never_zero() -> None:
    """No run, no claim, a level not reached: each is missing with its reason and a warning."""
    more = (
        '[figures.t]\nlabel = "t"\ntake = "time_to"\ntest = "hold"\nlevel = "99 N"\n'
        '[figures.none]\nlabel = "n"\ntake = "ratio"\nof = "held"\nby = "mass"\n'
    )
    toml = TOML.replace('claimed = "110 N"', 'claimed = "110 N", mass = "1 kg"')
    problems = Problems()
    found = results(session(more, toml=toml), {HOLD: [45.0]}, problems)
    assert found.figures["pulled", "ash"].why_missing == "no run of Pull"
    assert found.figures["t", "ash"].why_missing.startswith("the level of 99 N is not reached")
    assert found.figures["none", "ash"].why_missing == "ash has no mass"
    for key in ("pulled", "t", "none"):
        figure = found.figures[key, "ash"]
        assert (figure.value, figure.shown, figure.spread) == (None, "–", None)
    codes = [problem.code for problem in problems.found if "ash" in problem.message]
    assert codes.count("missing-figure") == 2


def test_division_by_nothing_is_missing() -> None:
    """A ratio by zero has no value, and a viewer sees none."""
    (row,) = rows("ranking", "pct.zero_base")
    figure = one(RATIO + 'of = "pulled"\nby = "held"\n', "r", [0.0], [5.0])
    assert figure.value is row.expected["pct"]
    assert figure.why_missing == "it is divided by 0"


@pytest.mark.parametrize(
    "more",
    [
        'take = "ratio"\nof = "held"\nby = "price"\nunit = "N"\n',
        'take = "difference"\nof = "held"\nby = "price"\n',
        'take = "time_to"\ntest = "hold"\nlevel = "3 kg"\n',
        'take = "work"\ntest = "hold"\n',
    ],
)
def test_what_no_run_can_have_is_told_once(more: str) -> None:
    """A declaration that cannot work is one error with its line, not one a run."""
    problems = Problems()
    values = {HOLD: [1.0, 2.0, 3.0], ("birch", "hold"): [1.0, 2.0, 3.0]}
    found = results(session(f'[figures.r]\nlabel = "r"\n{more}'), values, problems)
    (error,) = problems.errors
    assert (error.code, error.file) == ("unit-clash", "session.toml")
    assert error.line is not None
    assert error.line > TOML.count("\n")
    assert found.figures["r", "ash"].value is None


def test_a_ratio_of_degrees_celsius_is_refused() -> None:
    """Twice as many degrees Celsius is not twice as hot."""
    problems = Problems()
    toml = TOML.replace('unit = "N"\n', 'unit = "degC"\n')
    warm = run("ash", "hold", 1, trace([20.0, 20.0], unit="degC"))
    results_of_runs(session(RATIO + 'of = "held"\nby = "price"\n', toml=toml), (warm,), problems)
    assert [error.code for error in problems.errors] == ["offset-ratio"]


def test_a_run_without_the_main_figure_does_not_stop_the_others() -> None:
    """A run that is one gap has no figure; the median is that of the others, and says so."""
    runs = (
        flat_run("ash", "hold", 1, 40.0),
        run("ash", "hold", 2, trace([math.nan] * 5)),
        flat_run("ash", "hold", 3, 44.0),
    )
    problems = Problems()
    found = results_of_runs(session(), runs, problems)
    figure = found.figures["held", "ash"]
    assert (figure.value, figure.repeats, figure.n) == (40.0, (40.0, None, 44.0), 2)
    assert "1 of 3 without the main figure" in found.repeats[HOLD].remark


def test_force_corrected_to_the_intended_handle_force() -> None:
    """225 N at a recorded 184 N of an intended 180 N is 220.1 N (ISO 4210-4, worked example)."""
    (row,) = rows("bench", "bike.corr")
    given = row.input
    more = RATIO + f'of = "held"\nby = "pulled"\ntimes = "{given["F_Op_intend_N"]} N"\nunit = "N"\n'
    figure = one(more, "r", [given["F_Br_rec_N"]], [given["F_Op_rec_N"]])
    assert figure.value == pytest.approx(row.expected["F_Br_corr_N"], rel=1e-12)


@pytest.mark.parametrize("row", rows("bench", "bike.wet_dry"), ids=lambda row: row.id)
def test_wet_over_dry(row: object) -> None:
    """The wet-to-dry ratio of ISO 4210-4 is a ratio across two tests."""
    given, expected = row.input, row.expected  # type: ignore[attr-defined]  # a Row, by its fixture
    figure = one(RATIO + 'of = "pulled"\nby = "held"\n', "r", [given["dry_N"]], [given["wet_N"]])
    assert figure.value == pytest.approx(expected["ratio"], rel=1e-12)


def test_force_per_length_converts_either_way() -> None:
    """450 N over 25.4 mm is 17716.5 N/m and 450 N/in (arithmetic)."""
    (row,) = rows("ranking", "per_length")
    toml = TOML.replace('price = "10.00 EUR"', 'width = "25.4 mm"')
    for unit, expected in (("N/m", "N_per_m"), ("N/in", "N_per_in")):
        more = RATIO + f'of = "held"\nby = "width"\nunit = "{unit}"\n'
        found = results(session(more, toml=toml), {HOLD: [row.input["force_N"]]}, Problems())
        assert found.figures["r", "ash"].value == pytest.approx(row.expected[expected], rel=1e-12)
