"""What belongs below the tables."""

from __future__ import annotations

from dataclasses import replace

from overlays.errors import Problems
from overlays.scoring.review import review_results, standings_notes
from overlays.scoring.standings import season_standings
from tests.scoring.building import TOML, ledger_row, results, session

POINTS = """
[points.held]
figure = "held"
most = 60

[points.pulled]
label = "pulling"
figure = "pulled"
most = 40
"""


def test_notes_tell_bests_gaps_and_how_sure() -> None:
    """A new best by name, missing points, the chance of the order, the weight it hangs on."""
    one = session(POINTS)
    ledger = [ledger_row(1, "cedar", "held", "40.0"), ledger_row(1, "cedar", "pulled", "90.0")]
    values = {
        ("ash", "hold"): [80.0, 81.0, 79.0],
        ("ash", "pull"): [85.0],
        ("birch", "hold"): [20.0, 20.1, 19.9],
    }
    own = results(one, values, Problems())
    found = replace(own, standings=season_standings(one, own.figures, ledger, Problems()))
    assert standings_notes(found, ledger) == (
        "Ash sets a new best of 80.0 N in held (before: 40.0 N). It lowers: Cedar 60.0 → 30.0.",
        "Birch has no points for “pulling”: nothing to score.",
        "Were everything run again, Ash would come first more than 95 times in 100.",
        "Cedar would draw level if “held” counted 0.07 times as much, or less.",
    )


def test_review_gathers_every_warning() -> None:
    """Odd runs, with the figures they make uncertain, and limits not met, in one pass."""
    toml = TOML.replace('"mean"', '"mean"\nplaces = 3\nlimit = { above = "90 N" }')
    problems = Problems()
    review_results(
        results(session(toml=toml), {("ash", "hold"): [50.0, 50.02, 40.0]}, Problems()), problems
    )
    assert [problem.code for problem in problems.found] == [
        "odd-run",
        "limit-not-met",
    ]
    assert problems.found[0].message.endswith(
        ". It leaves held less certain than the digits shown claim."
    )
