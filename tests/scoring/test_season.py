"""Tie-breaks, frozen references, new bests, and the season as it was."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

import pytest

from overlays.errors import LedgerError, Problems
from overlays.model.result import Results, Standing
from overlays.scoring.ledger import LedgerRow
from overlays.scoring.standings import new_bests, season_standings, standings_as_of
from tests.outside import rows
from tests.scoring.building import ledger_row, results, session

COLUMNS = """
[points.held]
figure = "held"
rule = "line"
most = 10
none_at = "0 N"
most_at = "10 N"

[points.pulled]
figure = "pulled"
rule = "line"
most = 10
none_at = "0 N"
most_at = "10 N"
"""
SHARE = '[points.held]\nfigure = "held"\nmost = 60\n'


def of(table: Sequence[tuple[str, str, str]], more: str = "") -> list[tuple[str, int | None]]:
    """Return the names and ranks of entries with two columns."""
    ledger = [
        row
        for entry, held, pulled in table
        for row in (ledger_row(1, entry, "held", held), ledger_row(1, entry, "pulled", pulled))
    ]
    found = season_standings(session(COLUMNS + more), {}, ledger, Problems())
    return [(one.row.entry, one.row.rank) for one in found if one.row.rank is not None]


TIED = [("cedar", "3.0", "1.0"), ("dale", "2.0", "2.0"), ("elder", "1.0", "1.0")]


def test_ties_stand_unless_the_season_parts_them() -> None:
    """Equal scores share a rank, in the order they came."""
    assert of(TIED) == [("cedar", 1), ("dale", 1), ("elder", 3)]
    gapless = '[standings]\nranks = "1, 1, 2"\n'
    assert of(TIED, gapless) == [("cedar", 1), ("dale", 1), ("elder", 2)]


def test_a_column_may_part_a_tie() -> None:
    """More points in the declared column come first."""
    assert of(TIED, '[standings]\ntie_breaks = ["pulled"]\n')[:2] == [("dale", 1), ("cedar", 2)]


def test_count_back_may_part_a_tie() -> None:
    """A with a first and a third beats B with two seconds (count-back)."""
    (row,) = rows("ranking", "countback")
    table = [("a", "3.0", "1.0"), ("b", "2.0", "2.0"), ("c", "1.0", "1.5"), ("d", "0.0", "1.9")]
    found = of(table, '[standings]\ntie_breaks = ["firsts"]\n')
    # B leads "pulled", A leads "held": one first each, and still a tie.
    assert [place for _, place in found[:2]] == [1, 1]
    table[3] = ("d", "0.0", "3.0")
    found = of(table, '[standings]\ntie_breaks = ["firsts"]\n')
    assert [entry for entry, place in found if place == 1] == [
        row.expected["winner_by_most_firsts"].lower()
    ]


def test_a_tie_break_that_does_not_part_leaves_the_tie() -> None:
    """Entries alike in everything share the rank."""
    alike = [("cedar", "2.0", "2.0"), ("dale", "2.0", "2.0")]
    more = '[standings]\ntie_breaks = ["pulled", "firsts"]\n'
    assert of(alike, more) == [("cedar", 1), ("dale", 1)]


HISTORY = [
    ledger_row(1, "cedar", "held", "50.0"),
    ledger_row(1, "dale", "held", "40.0"),
    ledger_row(2, "elder", "held", "80.0"),
    ledger_row(2, "dale", "held", None, reason="the strap had slipped"),
    ledger_row(3, "dale", "held", "45.0"),
    ledger_row(4, "cedar", "held", "60.0"),
]


def scores(standings: Sequence[Standing]) -> dict[str, str]:
    return {one.row.entry: f"{one.row.score}" for one in standings}


def test_standings_of_any_episode_can_be_shown_again() -> None:
    """What was superseded or withdrawn later stands where it stood then."""
    one = session(SHARE)
    then = [standings_as_of(one, HISTORY, number, Problems()) for number in (1, 2, 3, 4)]
    assert scores(then[0]) == {"cedar": "60.0", "dale": "48.0"}
    assert scores(then[1]) == {"elder": "60.0", "cedar": "37.5"}
    assert scores(then[2]) == {"elder": "60.0", "cedar": "37.5", "dale": "33.8"}
    assert scores(then[3]) == {"elder": "60.0", "cedar": "45.0", "dale": "33.8"}
    assert {one.row.entry: one.previous_rank for one in then[2]} == {
        "elder": 1,
        "cedar": 2,
        "dale": None,
    }


def test_later_rows_change_no_earlier_episode() -> None:
    """Adding to the ledger leaves every earlier table exactly as it was."""
    one = session(SHARE)
    for number in (1, 2, 3):
        early = [row for row in HISTORY if row.episode <= number]
        assert standings_as_of(one, early, number, Problems()) == standings_as_of(
            one, HISTORY, number, Problems()
        )


def test_an_episode_before_the_first_is_told() -> None:
    """There is no table of a time before the season."""
    with pytest.raises(LedgerError, match="nothing up to episode 1") as caught:
        standings_as_of(session(SHARE), HISTORY[2:3], 1, Problems())
    assert caught.value.remedy == "It begins with episode 2."


def with_ash(value: float, more: str = "", ledger: Sequence[LedgerRow] = HISTORY) -> Results:
    """Return the results of episode 3, in which Ash is measured."""
    one = session(SHARE + more)
    found = results(one, {("ash", "hold"): [value]}, Problems())
    return replace(found, standings=season_standings(one, found.figures, ledger, Problems()))


def test_a_new_best_is_told_by_name() -> None:
    """Who set it, what it was, and whom it costs what."""
    (best,) = new_bests(with_ash(100.0))
    assert (best.entries, best.before, best.after) == (("Ash",), "80.0", "100.0")
    assert best.lowered == (
        ("Elder", Decimal("60.0"), Decimal("48.0")),
        ("Cedar", Decimal("37.5"), Decimal("30.0")),
    )
    assert best.sentence() == (
        "Ash sets a new best of 100.0 N in held (before: 80.0 N). "
        "It lowers: Elder 60.0 → 48.0, Cedar 37.5 → 30.0."
    )


@pytest.mark.parametrize("value", [80.0, 79.9])
def test_no_new_best_is_told_where_there_is_none(value: float) -> None:
    """Equalling the best lowers nobody."""
    assert new_bests(with_ash(value)) == ()


def test_a_first_result_is_no_new_best() -> None:
    """With an empty ledger there is nobody whose points it could lower."""
    assert new_bests(with_ash(100.0, ledger=())) == ()


FROZEN = '[standings]\nreferences = "frozen"\nfrozen_after = 1\n'


def test_frozen_references_do_not_move() -> None:
    """Shares stay those of the best after episode 1, however good what comes later is."""
    found = with_ash(100.0, FROZEN)
    assert scores(found.standings) == {
        "elder": "60.0",
        "cedar": "60.0",
        "ash": "60.0",
        "birch": "None",
    }
    assert new_bests(found) == ()
    open_ended = SHARE.replace("most = 60", "most = 60\nat_most = 3.0")
    one = session(open_ended + FROZEN)
    own = results(one, {("ash", "hold"): [100.0]}, Problems())
    standings = season_standings(one, own.figures, HISTORY, Problems())
    assert scores(standings)["ash"] == "120.0"


def test_before_they_are_frozen_references_move() -> None:
    """The first episodes are scored against the best there was."""
    one = session(SHARE + FROZEN.replace("= 1", "= 2"))
    assert scores(standings_as_of(one, HISTORY, 1, Problems()))["cedar"] == "60.0"
    assert scores(standings_as_of(one, HISTORY, 3, Problems()))["cedar"] == "37.5"


def test_a_claim_of_an_earlier_episode_comes_from_the_ledger() -> None:
    """An entry measured before is held against the claim recorded with it."""
    claims = (
        '[points.held]\nfigure = "held"\nmost = 60\nrule = "share_of_claim"\nclaim = "claimed"\n'
    )
    ledger = [ledger_row(1, "cedar", "held", "50.0"), ledger_row(1, "cedar", "claimed", "100")]
    one = session(claims)
    own = results(one, {("ash", "hold"): [45.0]}, Problems()).figures
    assert scores(season_standings(one, own, ledger, Problems())) == {
        "cedar": "30.0",
        "ash": "30.0",
        "birch": "None",
    }
