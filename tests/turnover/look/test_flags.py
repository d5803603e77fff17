"""What is to be looked at first, in words."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from overlays.model.result import Results
from overlays.model.run import Run, RunRef
from overlays.scoring.judged import JudgedRepeats, OddRun
from overlays.turnover.look.flags import flags_of_place
from overlays.turnover.look.seen import SeenPlace, SeenRun
from overlays.turnover.look.view import view_of
from tests.scoring.building import session, trace

Places = dict[str, SeenPlace]


def _flags(results: Results, place: SeenPlace, places: Places) -> list[str]:
    spec = results.session.spec
    view = view_of(spec, "pull", list(places.values()))
    return list(flags_of_place(spec, view, place))


def _of(*runs: SeenRun, judged: JudgedRepeats | None = None) -> list[str]:
    spec = session().spec
    place = SeenPlace("ash", "hold", runs, judged=judged)
    return list(flags_of_place(spec, view_of(spec, "hold", [place]), place))


def _seen(repeat: int, values: list[float], *flags: str, use: bool = True) -> SeenRun:
    ref = RunRef("ash", "hold", repeat, Path("x"), "x", "" if use else "slipped", use)
    as_long_as_the_test = [*values, *[values[-1]] * (5 - len(values))]
    force = replace(trace(as_long_as_the_test), flags=flags)
    return SeenRun(ref, Run(ref, {"force": force}), (), {})


THREE = tuple(_seen(repeat, [0.0, 1.0, 2.0]) for repeat in (1, 2, 3))


def test_runs_as_planned_with_nothing_odd_have_no_flag(results: Results, places: Places) -> None:
    """Hemp's three runs are there and alike."""
    assert _flags(results, places["hemp"], places) == []


def test_too_few_runs_and_a_lower_middle_are_told(results: Results, places: Places) -> None:
    """Of three planned runs two are used, so the median is the lower of them."""
    flags = _flags(results, places["sisal"], places)
    assert flags[:2] == [
        "2 of 3 planned runs are used",
        "run 2 stands for the median: lower middle of 2"
        if places["sisal"].runs[1].median
        else "run 1 stands for the median: lower middle of 2",
    ]


def test_a_gap_is_told_with_its_place_and_length(results: Results, places: Places) -> None:
    """Worked out by hand: the last sample before it is at 3.68 s, the first after it at 4.00 s.

    The trigger is where 46 N times 1 - exp(-t / 0.3 s) reaches 5 N: 0.0345 s after the rise at 1 s.
    """
    flags = _flags(results, places["sisal"], places)
    (gap,) = (flag for flag in flags if "a gap of" in flag)
    assert gap == "run 2, pull: a gap of 0,32 s from 2,65 s"


def test_logs_that_cannot_be_read_are_told_with_the_reason(
    results: Results, places: Places
) -> None:
    """Both of jute's logs, and that no run is left."""
    flags = _flags(results, places["jute"], places)
    assert flags[0].startswith("run 1 cannot be shown: this is a picture (PNG)")
    assert flags[1].startswith("run 2 cannot be shown: the file is empty.")
    assert flags[2:] == ["none of 3 planned runs are used"]


def test_what_conditioning_flags_is_passed_on_with_run_and_channel() -> None:
    """By the channel's label, as the session calls it."""
    flags = _of(_seen(1, [0.0, 1.0], "zero drifts by 2 N (5 % of the range)"), *THREE[1:])
    assert flags == ["run 1, force: zero drifts by 2 N (5 % of the range)"]


def test_what_the_statistics_flag_is_told_once_a_run() -> None:
    """Two tests that name the same run make one flag; a rule that is not met makes another."""
    judged = JudgedRepeats(
        "ash", "hold", "held", 3, 3, None, None,
        (OddRun(2, "run 2 is 9.0 N from the rest: by one test; by another", ""),),
        (), False, "3 of at least 6 valid runs",
    )  # fmt: skip
    assert _of(*THREE, judged=judged) == [
        "run 2 is 9.0 N from the rest: by one test; by another",
        "the repeats do not meet the test's rule: 3 of at least 6 valid runs",
    ]


@pytest.mark.parametrize(
    ("wild", "word"), [(900.04, "up to 900.0 N"), (-900.04, "down to −900.0 N")]
)
def test_a_trace_that_leaves_the_picture_is_told(wild: float, word: str) -> None:
    """Only a left-out run can, for the axis holds all used ones."""
    flags = _of(*THREE, _seen(4, [0.0, wild, 0.0], use=False))
    assert flags == [f"run 4, force: it leaves the picture, and goes {word}"]


def test_several_gaps_are_summed_up() -> None:
    """Their number, and the longest with its place."""
    nan = float("nan")
    flags = _of(_seen(1, [1.0, nan, 2.0, nan, nan, 3.0, nan, 4.0]), *THREE[1:])
    assert flags[0] == "run 1, force: 2 gaps, the longest of 3 s from 2 s"


def test_a_trace_with_nothing_in_the_picture_is_told() -> None:
    """A log whose samples all lie after the test, or are all gaps."""
    late = replace(trace([1.0, 2.0], time_s=[100.0, 101.0]), flags=())
    ref = RunRef("ash", "hold", 1, Path("x"), "x")
    seen = SeenRun(ref, Run(ref, {"force": late}), (), {})
    nothing = "run 1, force: nothing was logged where the picture looks"
    assert _of(_seen(1, [np.nan] * 5), *THREE[1:]) == [nothing]
    assert _of(seen, *THREE[1:]) == [nothing]


def test_figures_a_run_does_not_have_are_told_together(results: Results, places: Places) -> None:
    """The gap leaves sisal's second run without some figures, for one reason told once."""
    flags = _flags(results, places["sisal"], places)
    missing = [flag for flag in flags if "has no" in flag]
    assert all(flag.startswith("run 2 has no “") for flag in missing)
    values = places["sisal"].runs[1].values
    lacking = {key for key, value in values.items() if value.value is None}
    labels = {results.session.spec.figures[key].label for key in lacking}
    assert lacking
    assert all(any(f"“{label}”" in flag for flag in missing) for label in labels)
    assert all("gap" in flag for flag in missing)
