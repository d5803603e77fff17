"""The values a claim may be about."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest

from overlays.model.result import ScoreRow, Standing
from overlays.outline.speech.candidates import candidates
from overlays.outline.speech.claims import find_claims
from overlays.outline.speech.known import Knowledge
from tests.outline.bench import make_results, make_session


@pytest.fixture
def knowledge(tmp_path: Path) -> Knowledge:
    """Return what the little bench knows."""
    return Knowledge(make_results(make_session(tmp_path)))


def _values(knowledge: Knowledge, text: str, *entries: str) -> dict[str, float]:
    (claim,) = find_claims(text, knowledge.lexicon)
    return {c.label: c.value for c in candidates(claim, knowledge, entries)}


def test_a_gap_is_that_of_what_is_shown_and_of_what_was_measured(knowledge: Knowledge) -> None:
    """86.4 less 80.1 is 6.3, 86.44 less 80.06 is 6.38: both are true."""
    (claim,) = find_claims("six newton metres more", knowledge.lexicon)
    found = [
        (round(c.value, 2), c.shown)
        for c in candidates(claim, knowledge, ("alder", "dune"))
        if c.label.startswith("Mean torque")
    ]
    assert found == [(6.3, "6.3 N·m"), (6.38, "6.4 N·m")]


def test_amounts_are_converted_to_the_unit_that_was_said(knowledge: Knowledge) -> None:
    """1 lbf·ft = 1.3558179483314004 N·m (NIST SP 811, appendix B.8)."""
    values = _values(knowledge, "64 foot-pounds", "alder")
    assert values == {
        "Mean torque of Alder": pytest.approx(86.44 / 1.3558179483314004),
        "Wet torque of Alder": pytest.approx(57.63 / 1.3558179483314004),
        "claimed of Alder": pytest.approx(80 / 1.3558179483314004),
    }


def test_settings_are_asked_for_without_entries(knowledge: Knowledge) -> None:
    """Without entries the session's own quantities are meant."""
    assert _values(knowledge, "6 seconds") == {"test cold.length": 6.0}


def test_a_bare_number_may_be_any_figure(knowledge: Knowledge) -> None:
    """Without a unit every figure of the entry comes into question, attributes do not."""
    assert set(_values(knowledge, "two thirty-one", "alder").values()) == {
        86.44, 57.63, 0.231, 231.4
    }  # fmt: skip


def test_differences_are_of_the_same_figure(knowledge: Knowledge) -> None:
    """The first entry minus the second, as named."""
    values = _values(knowledge, "six newton metres more", "dune", "alder")
    assert values == {
        "Mean torque of Dune minus Mean torque of Alder": pytest.approx(-6.38),
        "Wet torque of Dune minus Wet torque of Alder": pytest.approx(10.39),
    }


def test_a_difference_of_temperatures_has_no_offset(knowledge: Knowledge) -> None:
    """17.5 °C apart are 17.5 °C apart, whatever the scale's zero."""
    label = "Rotor peak of Dune minus Rotor peak of Alder"
    celsius = _values(knowledge, "17 °C hotter", "dune", "alder")
    fahrenheit = _values(knowledge, "31 °F hotter", "dune", "alder")
    assert celsius[label] == pytest.approx(17.5)
    assert fahrenheit[label] == pytest.approx(31.5)


def test_one_entry_is_compared_with_all_others(knowledge: Knowledge) -> None:
    """Where only one is named, the gap may be to anyone."""
    labels = _values(knowledge, "6 N·m more", "alder")
    assert labels
    assert all(
        label.startswith(("Mean torque of Alder", "Wet torque of Alder")) for label in labels
    )


def test_ratios_go_both_ways_and_to_attributes(knowledge: Knowledge) -> None:
    """A share may be of the other entry or of what the maker claims, never of a temperature."""
    values = _values(knowledge, "108 percent", "alder", "dune")
    assert values["Mean torque of Alder over claimed of Alder"] == pytest.approx(86.44 / 80)
    assert values["Mean torque of Alder over Mean torque of Dune"] == pytest.approx(86.44 / 80.06)
    assert values["Mean torque of Dune over Mean torque of Alder"] == pytest.approx(80.06 / 86.44)
    assert not any("Rotor" in label for label in values)


def test_excess_has_the_side_that_was_said(knowledge: Knowledge) -> None:
    """ "More" counts up from one, "less" down."""
    more = _values(knowledge, "8 % more", "alder", "dune")
    less = _values(knowledge, "8 % less", "alder", "dune")
    label = "Mean torque of Alder against Mean torque of Dune"
    assert more[label] == pytest.approx(86.44 / 80.06 - 1)
    assert less[label] == pytest.approx(1 - 86.44 / 80.06)


def test_a_price_and_the_points_for_it_are_two_things(tmp_path: Path) -> None:
    """An attribute and a column of points may share a name; gaps are found of both."""
    results = make_results(make_session(tmp_path))
    rows = [
        Standing(ScoreRow(key, key, {}, {"price": points}, points, rank), None, True)
        for key, points, rank in (("alder", Decimal("8.5"), 2), ("dune", Decimal("9.0"), 1))
    ]
    knowledge = Knowledge(replace(results, standings=tuple(rows)))
    price = _values(knowledge, "6 euros cheaper", "dune", "alder")
    assert price == {"price of Dune minus price of Alder": -6.5}
    points = _values(knowledge, "half a point more", "dune", "alder")
    assert points["price points of Dune minus price points of Alder"] == 0.5
