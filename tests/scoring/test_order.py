"""How sure the order is, and what weights it hangs on."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from overlays.errors import Problems
from overlays.model.result import Results
from overlays.scoring.gap import probability_ahead
from overlays.scoring.order import how_sure, tipping_weights
from overlays.scoring.standings import season_standings
from tests.outside import rows
from tests.scoring.building import TOML, ledger_row, results, session

POINTS = '[points.held]\nfigure = "held"\nmost = 60\nplaces = 2\n'
TWO = POINTS + '[points.pulled]\nfigure = "pulled"\nmost = 40\n'
FINE = TOML.replace('"mean"', '"mean"\nplaces = 4')


def held(ash: list[float], birch: list[float], *, toml: str = FINE) -> Results:
    values = {("ash", "hold"): ash, ("birch", "hold"): birch}
    return results(session(POINTS, toml=toml), values, Problems())


def test_two_entries_against_the_closed_form() -> None:
    """The chance of first place is that of one mean being the higher (Student's distribution)."""
    found = held([49.0, 50.0, 51.0], [48.3, 49.3, 50.3])
    sure = how_sure(found, (), draws=4000)
    expected = probability_ahead(0.7, 1.0, 3, 3, dof=4)
    assert sure.chances["ash"][1] == pytest.approx(expected, abs=0.025)


def test_alike_entries_share_every_rank() -> None:
    """Identical items are each first with probability 1/k (exchangeability)."""
    (row,) = rows("statistics", "rank_iid")
    assert row.expected["P(item i first)"] == "1/k"
    extra = "".join(f'[entries.e{place}]\nname = "E{place}"\n' for place in range(2))
    one = session(extra + POINTS, toml=FINE)
    values = {(key, "hold"): [49.0, 50.0, 51.0] for key in ("ash", "birch", "e0", "e1")}
    sure = how_sure(results(one, values, Problems()), (), draws=2000)
    for entry in ("ash", "birch", "e0", "e1"):
        assert sure.chances[entry][1] == pytest.approx(0.25, abs=0.03)


def test_chances_of_an_entry_add_up() -> None:
    """Somebody comes to each place: an entry's chances are 1 together."""
    sure = how_sure(held([49.0, 50.0, 51.0], [48.3, 49.3, 50.3]), (), draws=150)
    assert len(sure.chances) == 2
    for chances in sure.chances.values():
        assert sum(chances.values()) == pytest.approx(1.0)


def test_the_same_seed_says_the_same() -> None:
    """And another seed says about the same."""
    found = held([49.0, 50.0, 51.0], [48.3, 49.3, 50.3])
    one, again, other = (how_sure(found, (), draws=400, seed=seed) for seed in (1, 1, 2))
    assert one == again
    assert other.chances["ash"][1] == pytest.approx(one.chances["ash"][1], abs=0.1)


def test_entries_of_earlier_episodes_stand_as_they_are() -> None:
    """The ledger holds no repeats, so that only this session's entries move."""
    found = held([49.0, 50.0, 51.0], [48.0, 49.0, 50.0])
    ledger = [ledger_row(1, "cedar", "held", "500.0"), ledger_row(1, "dale", "held", "1.0")]
    standings = season_standings(found.session, found.figures, ledger, Problems())
    sure = how_sure(replace(found, standings=standings), ledger, draws=100)
    assert sure.chances["cedar"] == {1: 1.0}
    assert sure.chances["dale"] == {4: 1.0}


@pytest.mark.parametrize(
    ("ash", "birch", "sentence"),
    [
        (
            [49.0, 50.0, 51.0],
            [48.3, 49.3, 50.3],
            (
                "Were everything run again, Ash would come first about 75 times in 100; "
                "else most likely Birch."
            ),
        ),
        (
            [90.0, 90.1, 90.2],
            [40.0, 40.1, 40.2],
            "Were everything run again, Ash would come first more than 95 times in 100.",
        ),
        ([90.0], [40.0], "Nothing was run twice, so nobody can say how sure the order is."),
        (
            [90.0, 90.0],
            [40.0, 40.0],
            "All repeats came out alike, so nobody can say how sure the order is.",
        ),
        ([], [], "Nobody has a score yet."),
    ],
)
def test_the_sentence_does_not_overclaim(
    ash: list[float], birch: list[float], sentence: str
) -> None:
    """Nobody is called certain, and without repeats nothing is said of chances."""
    assert how_sure(held(ash, birch), (), draws=600).sentence == sentence


def two_columns(ash: tuple[float, float], birch: tuple[float, float]) -> Results:
    values = {
        ("ash", "hold"): [ash[0]],
        ("ash", "pull"): [ash[1]],
        ("birch", "hold"): [birch[0]],
        ("birch", "pull"): [birch[1]],
    }
    return results(session(TWO), values, Problems())


def test_the_weight_at_which_the_lead_is_gone() -> None:
    """Ash leads 60 + 20 to 30 + 40; with "pulled" counted 1.5 times both have 90 (by hand)."""
    found = {
        tipping.column: tipping for tipping in tipping_weights(two_columns((60, 20), (30, 40)))
    }
    assert found["pulled"].factor == pytest.approx(1.5)
    assert found["pulled"].entry == "birch"
    assert found["pulled"].sentence == (
        "Birch would draw level if “pulled” counted 1.50 times as much, or more."
    )
    assert found["held"].factor == pytest.approx(2 / 3)
    assert "0.67 times as much, or less" in found["held"].sentence


def test_at_the_weight_found_both_have_the_same_score() -> None:
    """The factor, put into the column's weight, makes a tie."""
    base = two_columns((60, 20), (30, 40))
    factor = next(one.factor for one in tipping_weights(base) if one.column == "pulled")
    weighted = TWO.replace("most = 40", f"most = 40\nweight = {factor}")
    values = {
        (entry, test): [run.traces["force"].values[0] for run in repeats.runs]
        for (entry, test), repeats in base.repeats.items()
    }
    tied = results(session(weighted), values, Problems())
    assert [standing.row.rank for standing in tied.standings] == [1, 1]
    assert {standing.row.score for standing in tied.standings} == {
        Decimal("90.0") + Decimal("0.00")
    }


def test_a_leader_in_everything_hangs_on_no_weight() -> None:
    """Who is ahead in both columns cannot be overtaken by weighing one of them."""
    found = tipping_weights(two_columns((60, 40), (30, 20)))
    assert len(found) == 2
    for tipping in found:
        assert (tipping.factor, tipping.entry) == (None, None)
        assert tipping.sentence.startswith("No weight of")


def test_without_a_single_leader_there_is_nothing_to_tip() -> None:
    """A tie at the top, or a lone entry, has no lead."""
    assert tipping_weights(two_columns((60, 40), (60, 40))) == ()
    assert tipping_weights(held([50.0], [])) == ()
