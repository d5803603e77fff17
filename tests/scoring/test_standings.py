"""Ranks, scores, the row before and the row after."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.errors import Problems
from overlays.model.result import Standing
from overlays.scoring.ledger import LedgerRow
from overlays.scoring.standings import season_standings
from tests.scoring.building import TOML, ledger_row, results, session

CASES = Path(__file__).parents[1] / "data" / "cases"
POINTS = """
[points.held]
figure = "held"
most = 60

[points.pulled]
figure = "pulled"
most = 40
"""
LINE = """
[points.held]
figure = "held"
rule = "line"
most = 100
places = 0
none_at = "0 N"
most_at = "100 N"
"""


def table(name: str, figure: str) -> list[LedgerRow]:
    """Return a case file of names and scores as rows of a ledger; blanks are no result."""
    with (CASES / name).open(encoding="utf-8") as lines:
        cells = [list(row.values()) for row in csv.DictReader(lines)]
    return [
        ledger_row(1, team.lower(), figure, score if score.isdigit() else None)
        for team, score in cells
        if score.isdigit()
    ]


def standings_of(ledger: Sequence[LedgerRow], toml: str) -> tuple[Standing, ...]:
    """Return the standings of a ledger alone, one point a newton."""
    problems = Problems()
    one = session(LINE, toml=toml)
    found = season_standings(one, {}, ledger, problems)
    assert not problems.found
    return found


def test_ties_keep_the_order_they_came_in() -> None:
    """Case file: Alder, Cedar, Birch, Elm, Dogwood with ranks 1, 1, 3, 3, 5, never 1.5."""
    found = standings_of(table("rank_ties.csv", "held"), TOML)
    ranked = [standing for standing in found if standing.row.score is not None]
    assert [standing.row.name for standing in ranked] == [
        "Alder",
        "Cedar",
        "Birch",
        "Elm",
        "Dogwood",
    ]
    assert [standing.row.rank for standing in ranked] == [1, 1, 3, 3, 5]


def test_nothing_is_not_zero() -> None:
    """Case file: blank, n/a and DNS are unranked and last, a real 0 is ranked."""
    toml = TOML.replace("[entries.ash]", "[entries.bay]").replace(
        "[entries.birch]", "[entries.cob]"
    )
    found = standings_of(table("rank_missing_scores.csv", "held"), toml)
    ranked = [
        (standing.row.name, standing.row.rank)
        for standing in found
        if standing.row.score is not None
    ]
    assert ranked == [("Ash", 1), ("Fir", 2), ("Dun", 3)]
    assert [standing.row.rank for standing in found[3:]] == [None, None]
    scores = [standing.row.score for standing in found[:3]]
    mean = sum(score for score in scores if score is not None) / 3
    assert mean == pytest.approx(Decimal("6.3333"), abs=Decimal("1e-4"))


def season(*, ash: float = 40.0) -> tuple[Standing, ...]:
    """Return standings of two entries measured now and two from earlier episodes."""
    one = session(POINTS)
    ledger = [
        ledger_row(1, "cedar", "held", "50.0"),
        ledger_row(1, "cedar", "pulled", "20.0"),
        ledger_row(2, "dale", "held", "25.0"),
        ledger_row(2, "birch", "held", "10.0"),
        ledger_row(3, "ash", "held", "1.0"),
        ledger_row(4, "elder", "held", "99.0"),
    ]
    values = {("ash", "hold"): [ash], ("birch", "hold"): [30.0], ("ash", "pull"): [10.0]}
    figures = results(one, values, Problems()).figures
    return season_standings(one, figures, ledger, Problems())


def test_the_season_after_this_episode() -> None:
    """Points are shares of the season's best; a missing figure earns none and is not zero."""
    found = {standing.row.entry: standing for standing in season()}
    assert [standing.row.entry for standing in season()] == ["cedar", "ash", "birch", "dale"]
    assert found["cedar"].row.score == Decimal("100.0")
    assert found["ash"].row.points == {"held": Decimal("48.0"), "pulled": Decimal("20.0")}
    assert found["birch"].row.points == {"held": Decimal("36.0"), "pulled": None}
    assert found["dale"].row.score == Decimal("30.0")
    assert [found[key].in_session for key in ("ash", "birch", "cedar", "dale")] == [
        True,
        True,
        False,
        False,
    ]


def test_the_row_before_is_the_ledgers() -> None:
    """A re-tested entry's row before is the old result; a new entry has none."""
    found = {standing.row.entry: standing for standing in season()}
    birch = found["birch"].previous
    assert birch is not None
    assert (birch.score, found["birch"].previous_rank) == (Decimal("12.0"), 3)
    assert found["ash"].previous is None
    assert found["ash"].previous_rank is None


def test_the_table_before_keeps_its_own_order() -> None:
    """The lines of the table before count its rows, one each, as they stood then."""
    rows = [
        ledger_row(1, "cedar", "held", "50"),
        ledger_row(1, "elm", "held", "50"),
        ledger_row(2, "cedar", "held", "40"),
        ledger_row(2, "fir", "held", "70"),
    ]
    found = {one.row.entry: one for one in standings_of(rows, TOML)}
    lines = {entry: one.previous_line for entry, one in found.items()}
    assert lines == {"fir": 0, "elm": 1, "cedar": 2, "ash": None, "birch": None}


def test_this_episode_and_later_ones_in_the_ledger_do_not_count() -> None:
    """A session opened again shows what it showed then: its own figures, nothing from later."""
    found = {standing.row.entry: standing for standing in season()}
    assert "elder" not in found
    assert found["ash"].row.figures["held"] is not None
    assert found["ash"].row.figures["held"].shown == "40.0"


def test_a_new_best_lowers_the_others() -> None:
    """When Ash holds 100 N, Cedar's 50 N are worth half."""
    found = {standing.row.entry: standing for standing in season(ash=100.0)}
    assert found["cedar"].row.points["held"] == Decimal("30.0")
    assert found["cedar"].previous is not None
    assert found["cedar"].previous.points["held"] == Decimal("60.0")


@given(
    st.lists(
        st.tuples(st.decimals(1, 99, places=1), st.decimals(1, 99, places=1)),
        min_size=1,
        max_size=8,
    )
)
def test_a_total_is_the_sum_of_the_points_as_shown(values: list[tuple[Decimal, Decimal]]) -> None:
    """Whoever adds up a row gets its total, to the last digit."""
    ledger = [
        ledger_row(1, f"e{place}", figure, f"{value:f}")
        for place, pair in enumerate(values)
        for figure, value in zip(("held", "pulled"), pair, strict=True)
    ]
    standings = season_standings(session(POINTS), {}, ledger, Problems())
    assert {f"e{place}" for place in range(len(values))} <= {one.row.entry for one in standings}
    for standing in standings:
        points = [one for one in standing.row.points.values() if one is not None]
        assert standing.row.score == (sum(points, Decimal(0)) if points else None)


def test_a_ledger_in_another_unit_is_converted() -> None:
    """0.05 kN in the ledger is 50 N in the column, and no more digits than were recorded."""
    ledger = [ledger_row(1, "cedar", "held", "0.05", "kN")]
    found = season_standings(
        session(POINTS),
        results(session(POINTS), {("ash", "hold"): [25.0]}, Problems()).figures,
        ledger,
        Problems(),
    )
    cedar = next(standing for standing in found if standing.row.entry == "cedar")
    figure = cedar.row.figures["held"]
    assert figure is not None
    assert (figure.shown, figure.unit) == ("50", "N")
    assert cedar.row.points["held"] == Decimal("60.0")


def test_a_ledger_in_a_unit_that_does_not_fit_is_told_once() -> None:
    """A row in kilograms among newtons is one error with the ledger's line."""
    import dataclasses

    problems = Problems()
    row = dataclasses.replace(ledger_row(1, "cedar", "held", "5", "kg"), line=7)
    own = results(session(POINTS), {("ash", "hold"): [25.0]}, Problems()).figures
    season_standings(session(POINTS), own, [row], problems, ledger_file="../ledger.csv")
    assert [(error.code, error.file, error.line) for error in problems.errors] == [
        ("unit-clash", "../ledger.csv", 7)
    ]


def test_a_rule_that_cannot_work_is_told_once() -> None:
    """A line in seconds for a column in newtons is one error, not one an entry."""
    problems = Problems()
    bad = session(LINE.replace('"0 N"', '"1 s"').replace('"100 N"', '"2 s"'))
    found = results(bad, {("ash", "hold"): [25.0], ("birch", "hold"): [26.0]}, problems)
    assert [error.code for error in problems.errors] == ["unit-clash"]
    assert [standing.row.score for standing in found.standings] == [None, None]
