"""Limits a figure has to meet."""

from __future__ import annotations

import pytest

from overlays.errors import Problems
from overlays.model.result import Results
from overlays.scoring.limits import verdict_of, warn_of_limits
from tests.outside import Row, rows
from tests.scoring.building import results, session


def limited(limit: str, wet: float, dry: float) -> Results:
    more = (
        '[figures.r]\nlabel = "wet over dry"\ntake = "ratio"\nof = "pulled"\nby = "held"\n'
        f'unit = "%"\nlimit = {limit}\n'
    )
    return results(session(more), {("ash", "hold"): [dry], ("ash", "pull"): [wet]}, Problems())


@pytest.mark.parametrize("row", rows("bench", "bike.wet_dry"), ids=lambda row: row.id)
def test_wet_braking_has_to_exceed_half(row: Row) -> None:
    """ISO 4210-4: the wet-to-dry ratio must be greater than 50 %; exactly half fails."""
    found = limited('{ above = "50 %" }', row.input["wet_N"], row.input["dry_N"])
    verdict = verdict_of(found, "r", "ash")
    assert verdict is not None
    assert verdict.met == row.expected["verdict"].startswith("pass")


@pytest.mark.parametrize(
    ("limit", "met", "words"),
    [
        ('{ at_least = "50 %" }', True, "50.0 % is at least 50 %"),
        ('{ at_most = "0.5" }', True, "50.0 % is at most 0.5"),
        ('{ below = "50 %" }', False, "50.0 % is not below 50 %"),
        ('{ at_least = "40 %", at_most = "45 %" }', False, "50.0 % is not at most 45 %"),
    ],
)
def test_every_kind_of_limit(limit: str, met: bool, words: str) -> None:  # noqa: FBT001 (a parameter of the table)
    """A limit is judged on the value as shown, in whatever unit it is written."""
    verdict = verdict_of(limited(limit, 50.0, 100.0), "r", "ash")
    assert verdict is not None
    assert (verdict.met, verdict.words) == (met, words)


def test_without_limit_or_value_there_is_no_verdict() -> None:
    """A missing figure neither passes nor fails."""
    found = limited('{ above = "50 %" }', 50.0, 100.0)
    assert verdict_of(found, "held", "ash") is None
    assert verdict_of(found, "r", "birch") is None


def test_what_fails_is_a_warning_and_a_wrong_unit_an_error() -> None:
    """`check` tells both, with the line of the limit."""
    problems = Problems()
    warn_of_limits(limited('{ above = "60 %" }', 50.0, 100.0), problems)
    assert [(one.level, one.code) for one in problems.found] == [("warning", "limit-not-met")]
    problems = Problems()
    warn_of_limits(limited('{ above = "60 N" }', 50.0, 100.0), problems)
    assert [(one.level, one.code) for one in problems.found] == [("error", "unit-clash")]
    assert problems.found[0].line is not None
