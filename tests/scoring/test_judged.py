"""Repeats judged: scatter, flags, runs left out, acceptance."""

from __future__ import annotations

from dataclasses import replace

import pytest

from overlays.errors import Problems
from overlays.model.result import Results
from overlays.scoring.digits import poor_digits
from overlays.scoring.judged import JudgedRepeats, judge_repeats, warn_of_repeats
from overlays.scoring.results import results_of_runs
from tests.outside import rows
from tests.scoring.building import TOML, flat_run, results, run, session, trace


def judged(values: list[float], accept: str = "") -> JudgedRepeats:
    """Return the judgement of Ash's repeats on the test "hold"."""
    toml = TOML.replace('main = "held"', f'main = "held"\n{accept}')
    found = results(session(toml=toml), {("ash", "hold"): values}, Problems())
    (one,) = judge_repeats(found)
    return one


def test_scatter_and_counts() -> None:
    """Count, plan, mean and deviation of the main figure are told."""
    one = judged([49.0, 50.0, 51.0])
    assert (one.n, one.planned, one.figure) == (3, 3, "held")
    assert one.spread is not None
    assert (one.spread.mean, one.spread.s) == (50.0, 1.0)
    assert one.flags == ()


def test_an_odd_run_is_flagged_by_its_number_and_kept() -> None:
    """The flag names the run and how far it is off; the run stays in every number."""
    one = judged([50.0, 50.02, 40.0])
    assert one.n == 3
    (odd,) = one.flags
    assert odd.repeat == 3
    assert odd.text.startswith("run 3 is 10.0 N from the rest: outlier by Dixon's test at 1 % (")


def test_an_entry_that_scatters_is_flagged_with_its_farthest_run() -> None:
    """Cochran finds the entry, and the words name the run to look at."""
    one = session()
    values = {("ash", "hold"): [50.0, 50.1, 49.9], ("birch", "hold"): [62.7, 46.8, 61.9]}
    found = judge_repeats(results(one, values, Problems()))
    assert [bool(judgement.flags) for judgement in found] == [False, True]
    (odd,) = found[1].flags
    assert odd.text.startswith("run 2 is 15.5 N from the rest: ")
    assert "the entry scatters more than the others, outlier by Cochran's test" in odd.text


def test_runs_left_out_carry_their_reasons() -> None:
    """A run left out stands on the report with what the bench said."""
    base = session()
    kept = [flat_run("ash", "hold", repeat, 50.0) for repeat in (1, 2)]
    out = replace(kept[0].ref, repeat=3, use=False, note="lever slipped", line=4)
    silent = replace(out, repeat=4, note="")
    with_refs = replace(base, runs=(*(run.ref for run in kept), out, silent))
    (one,) = judge_repeats(results_of_runs(with_refs, tuple(kept), Problems()))
    assert one.left_out == (
        "run 3 left out: lever slipped",
        "run 4 left out: no reason given",
    )


TYRE = 'accept = { runs = 6, variation = "4 %" }'


def test_un_r117_accepts_six_runs_of_little_variation() -> None:
    """UN R117: six valid runs with a coefficient of variation of 2.05 % pass at most 4 %."""
    (row,) = rows("bench", "tyre.cv")
    one = judged(row.input["runs"], TYRE)
    assert one.accepted is True
    assert one.spread is not None
    assert one.spread.variation == pytest.approx(row.expected["CV_pct"] / 100, rel=1e-12)
    assert one.why == "coefficient of variation 2.05 % ≤ 4 %"


@pytest.mark.parametrize(
    ("values", "why"),
    [
        ([0.68, 0.70, 0.69], "3 of at least 6 valid runs"),
        ([0.6, 0.7, 0.8, 0.6, 0.7, 0.8], "coefficient of variation 12.78 % > 4 %"),
        ([-1.0, 1.0, -1.0, 1.0, -1.0, 1.0], "no coefficient of variation"),
    ],
)
def test_un_r117_refuses_too_few_or_too_varied(values: list[float], why: str) -> None:
    """Too few runs, too much variation, or a mean of zero do not pass, and why is told."""
    one = judged(values, TYRE)
    assert one.accepted is False
    assert why in one.why


def test_a_temperature_has_no_coefficient_of_variation() -> None:
    """4 % of a mean in °C is something else than 4 % of it in K or °F."""
    toml = TOML.replace('main = "held"', f'main = "held"\n{TYRE}').replace('"N"\n', '"degC"\n')
    runs = [run("ash", "hold", i, trace([20.0] * 5, unit="degC")) for i in range(1, 7)]
    (one,) = judge_repeats(results_of_runs(session(toml=toml), tuple(runs), Problems()))
    assert (one.accepted, one.why) == (
        False,
        "no coefficient of variation in °C, which has no true zero",
    )


def test_a_count_alone_may_be_enough() -> None:
    """A rule may ask for runs only; without a rule nothing is judged."""
    assert judged([1.0, 2.0], "accept = { runs = 2 }").accepted is True
    assert judged([1.0, 2.0]).accepted is None


def warned(found: Results) -> list[str]:
    problems = Problems()
    warn_of_repeats(found, problems)
    assert not problems.errors
    return [problem.code for problem in problems.found]


def test_flags_and_refusals_are_warnings() -> None:
    """`check` shows what a person should look at; none of it stops anything."""
    toml = TOML.replace('main = "held"', f'main = "held"\n{TYRE}')
    found = results(session(toml=toml), {("ash", "hold"): [50.0, 50.01, 40.0]}, Problems())
    assert warned(found) == ["odd-run", "not-accepted"]


def test_fewer_repeats_than_planned_are_told() -> None:
    """Two of three runs, and none at all, are warnings of their own."""
    problems = Problems()
    results(session(), {("ash", "hold"): [1.0, 2.0], ("birch", "pull"): [1.0]}, problems)
    told = [problem.message for problem in problems.found if problem.code == "fewer-repeats"]
    assert told == [
        "ash has 2 of 3 runs of hold.",
        "ash has 0 of 1 run of pull.",
        "birch has 0 of 3 runs of hold.",
    ]


def test_an_odd_run_is_one_warning_with_its_note_and_what_it_affects() -> None:
    """Which figures the run makes too uncertain for their digits, and what the bench noted."""
    toml = TOML.replace('"mean"', '"mean"\nplaces = 1') + (
        '[figures.top]\nlabel = "top"\nplaces = 1\ntake = "peak"\ntest = "hold"\n'
        '[figures.r]\nlabel = "r"\nplaces = 2\ntake = "ratio"\nof = "held"\nby = "price"\n'
    )
    runs = [flat_run("ash", "hold", n, value) for n, value in enumerate((50.0, 50.02, 40.0), 1)]
    runs[2] = replace(runs[2], ref=replace(runs[2].ref, note="Cable was loose."))
    found = results_of_runs(session(toml=toml), tuple(runs), Problems())
    problems = Problems()
    poor = poor_digits(found)
    named = warn_of_repeats(found, problems, poor=poor)
    (warning,) = problems.found
    assert named == frozenset(poor) == {("held", "ash"), ("top", "ash"), ("r", "ash")}
    assert warning.message.endswith(
        " The bench noted: Cable was loose. It leaves held, top and r less certain than the digits "
        "shown claim."
    )
