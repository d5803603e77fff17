"""Recording an episode, re-tests and errata."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest

from overlays.errors import LedgerError, Problems
from overlays.model.result import Results
from overlays.scoring.ledger import read_ledger
from overlays.scoring.record import record_results, withdraw_result
from overlays.scoring.results import season_ledger
from tests.scoring.building import TOML, results, session

POINTS = """
[points.held]
figure = "held"
most = 60

[points.claim]
figure = "pulled"
rule = "share_of_claim"
claim = "claimed"
most = 40
"""
WITH_LEDGER = TOML.replace('rate = "25"', 'rate = "25"\nledger = "ledger.csv"')


def measured(folder: Path, ash: list[float]) -> Results:
    one = replace(session(POINTS, toml=WITH_LEDGER), folder=folder)
    return results(one, {("ash", "hold"): ash, ("ash", "pull"): [81.0]}, Problems())


def recorded(folder: Path) -> list[tuple[str, str, str, str, str]]:
    rows = read_ledger(folder / "ledger.csv", file="ledger.csv")
    return [(row.entry, row.figure, f"{row.value}", row.source, row.reason) for row in rows]


def test_an_episode_is_recorded_as_shown(tmp_path: Path) -> None:
    """Scored figures as shown, and the claims that rules need; nothing that is missing."""
    record_results(measured(tmp_path, [50.04, 49.0, 51.0]))
    assert recorded(tmp_path) == [
        ("ash", "held", "50.0", "episode 3, run 1 of 3", ""),
        ("ash", "pulled", "81.0", "episode 3, run 1 of 1", ""),
        ("ash", "claimed", "90", "episode 3", ""),
        ("birch", "claimed", "110", "episode 3", ""),
    ]


def test_recording_twice_adds_nothing(tmp_path: Path) -> None:
    """The ledger grows by what is new only."""
    found = measured(tmp_path, [50.0])
    assert len(record_results(found)) == 4
    assert record_results(found) == ()


def test_a_re_test_needs_its_reason_and_supersedes(tmp_path: Path) -> None:
    """A changed figure of the same episode is added with why, and stands from then on."""
    record_results(measured(tmp_path, [50.0]))
    again = measured(tmp_path, [53.0])
    with pytest.raises(LedgerError) as caught:
        record_results(again)
    assert caught.value.code == "re-test-without-reason"
    (row,) = record_results(again, reason="strap replaced")
    assert (row.figure, row.value, row.reason) == ("held", Decimal("53.0"), "strap replaced")
    assert len(recorded(tmp_path)) == 5


def test_the_standings_are_the_same_read_back(tmp_path: Path) -> None:
    """Points come from figures as shown, so that the ledger gives the next episode the same."""
    found = measured(tmp_path, [50.04, 49.0, 51.0])
    record_results(found)
    text = WITH_LEDGER.replace("number = 3", "number = 4")
    later = replace(session(POINTS, toml=text), folder=tmp_path)
    after = results(later, {}, Problems())
    before = {one.row.entry: one.row.score for one in found.standings}
    assert {one.row.entry: one.row.score for one in after.standings} == before


def test_an_erratum_takes_back_and_keeps_history(tmp_path: Path) -> None:
    """The withdrawn result no longer stands, but its row and the reason stay."""
    found = measured(tmp_path, [50.0])
    record_results(found)
    rows = withdraw_result(found.session, "ash", ["held"], reason="gauge was not zeroed")
    assert [(row.figure, row.action, row.value) for row in rows] == [("held", "withdrawn", None)]
    assert recorded(tmp_path)[0] == ("ash", "held", "50.0", "episode 3, run 1 of 1", "")
    assert recorded(tmp_path)[-1][-1] == "gauge was not zeroed"


def test_everything_of_an_entry_may_be_withdrawn(tmp_path: Path) -> None:
    """Without figures named, all that stands of the entry goes, and only that."""
    found = measured(tmp_path, [50.0])
    record_results(found)
    rows = withdraw_result(found.session, "ash", [], reason="not the product it was sold as")
    assert {row.figure for row in rows} == {"held", "pulled", "claimed"}
    with pytest.raises(LedgerError, match="no result of ash stands"):
        withdraw_result(found.session, "ash", [], reason="again")


@pytest.mark.parametrize("reason", ["", " "])
def test_a_withdrawal_without_a_reason_is_one_error(tmp_path: Path, reason: str) -> None:
    """It is told before anything is written, and of no line that is not there."""
    found = measured(tmp_path, [50.0])
    record_results(found)
    before = (tmp_path / "ledger.csv").read_bytes()
    with pytest.raises(LedgerError, match="needs its reason") as caught:
        withdraw_result(found.session, "ash", [], reason=reason)
    assert caught.value.line is None
    assert (tmp_path / "ledger.csv").read_bytes() == before


@pytest.mark.parametrize(("entry", "figure"), [("ash", "hled"), ("cedar", "held")])
def test_what_does_not_stand_cannot_be_withdrawn(tmp_path: Path, entry: str, figure: str) -> None:
    """A misspelt entry or figure is told, and nothing is written."""
    found = measured(tmp_path, [50.0])
    record_results(found)
    before = (tmp_path / "ledger.csv").read_bytes()
    with pytest.raises(LedgerError) as caught:
        withdraw_result(found.session, entry, [figure], reason="x")
    assert caught.value.code == "nothing-to-withdraw"
    assert (tmp_path / "ledger.csv").read_bytes() == before


def test_without_a_ledger_there_is_nothing_to_record(tmp_path: Path) -> None:
    """A session that declares no ledger says so."""
    one = replace(session(POINTS), folder=tmp_path)
    with pytest.raises(LedgerError) as caught:
        record_results(results(one, {}, Problems()))
    assert caught.value.code == "no-ledger"


def test_a_ledger_that_is_not_there_yet_is_a_warning(tmp_path: Path) -> None:
    """The first episode of a season has none; the standings are its own."""
    problems = Problems()
    assert season_ledger(replace(session(toml=WITH_LEDGER), folder=tmp_path), problems) == ()
    assert [problem.code for problem in problems.found] == ["no-ledger-yet"]
