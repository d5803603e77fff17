"""Doubts about traces, told once for all runs alike."""

from __future__ import annotations

from dataclasses import replace

import pytest

from overlays.errors import Problems
from overlays.model.run import Run
from overlays.scoring.doubted import listed, run_doubts, warn_of_doubts
from overlays.scoring.results import results_of_runs
from tests.scoring.building import TOML, run, session, trace

UNEVEN = "samples come 1.2 to 3.4 ms apart instead of 2.0 ms"


def _run(entry: str, repeat: int, *flags: str) -> Run:
    return run(entry, "hold", repeat, replace(trace([50.0] * 5), flags=flags))


def test_runs_alike_share_one_warning() -> None:
    """A logger that samples unevenly does so in every run; a drop-out is one run's own."""
    runs = (
        _run("ash", 1, UNEVEN), _run("ash", 2, UNEVEN, "a drop-out?"),
        _run("ash", 3), _run("birch", 2, UNEVEN),
    )  # fmt: skip
    problems = Problems()
    warn_of_doubts(results_of_runs(session(), runs, Problems()), problems)
    assert [(problem.code, problem.file, problem.message) for problem in problems.found] == [
        (
            "doubtful-trace",
            "logs/ash_hold_1.csv",
            f"hold, ash runs 1 and 2, birch run 2: force: {UNEVEN}.",
        ),
        ("doubtful-trace", "logs/ash_hold_2.csv", "hold, ash run 2: force: a drop-out?"),
    ]
    assert not problems.errors


def test_channels_alike_share_one_flag() -> None:
    """What two channels of a run have in common is said once, with both names."""
    channels = '[channels.way]\nlabel = "way"\ncolumn = "s"\nunit = "mm"\n'
    both = [replace(trace([1.0], channel=key), flags=(UNEVEN,)) for key in ("force", "way")]
    assert list(run_doubts(run("ash", "hold", 1, *both), session(channels).spec)) == [
        f"force and way: {UNEVEN}"
    ]


@pytest.mark.parametrize(("samples", "told"), [(3, True), (4, False), (5, False)])
def test_a_trace_shorter_than_the_test_is_told(samples: int, *, told: bool) -> None:
    """The test is 4 s long, and "held" is taken to its end; a step short of it is no matter."""
    found = list(run_doubts(run("ash", "hold", 1, trace([1.0] * samples)), session().spec))
    text = "force: ends at 2 s, before the test does at 4 s; “held” is taken up to there only"
    assert found == ([text] if told else [])


def test_a_trace_as_long_as_its_figures_is_no_matter() -> None:
    """Figures that say where their windows end are missing where the trace does not reach there."""
    toml = TOML.replace('take = "mean"', 'take = "mean"\nend = "2 s"')
    short = run("ash", "hold", 1, trace([1.0] * 3))
    assert list(run_doubts(short, session(toml=toml).spec)) == []


@pytest.mark.parametrize(
    ("names", "text"), [(["a"], "a"), (["a", "b"], "a and b"), (["a", "b", "c"], "a, b and c")]
)
def test_lists_are_written_as_said(names: list[str], text: str) -> None:
    """With an "and" before the last."""
    assert listed(names) == text
