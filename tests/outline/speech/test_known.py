"""What a session knows."""

from __future__ import annotations

import dataclasses
from decimal import Decimal
from pathlib import Path

import pytest

from overlays.model.result import ScoreRow, Standing
from overlays.outline.speech.known import Knowledge
from tests.outline.bench import make_results, make_session


@pytest.fixture
def knowledge(tmp_path: Path) -> Knowledge:
    """Return what the little bench knows, with a score for Alder."""
    results = make_results(make_session(tmp_path))
    row = ScoreRow("alder", "Alder", {}, {"cold": Decimal("28.5")}, Decimal("71.25"), 1)
    other = ScoreRow("elsewhere", "Elsewhere", {}, {}, Decimal(12), 2)
    standings = (Standing(row, None, True), Standing(other, None, False))
    return Knowledge(dataclasses.replace(results, standings=standings))


def test_figures_attributes_scores_and_settings(knowledge: Knowledge) -> None:
    """Everything with a number is known, by its entry; missing figures are not."""
    alder = {known.name: known.shown for known in knowledge.amounts["alder"]}
    assert alder["cold_mean"] == "86.4 N·m"
    assert alder["price"] == "18.50 €"
    assert alder["cold"] == "28.5 points"
    assert alder["score"] == "71.25 points"
    assert knowledge.amounts["fjord"] == ()
    settings = {known.name: known.shown for known in knowledge.amounts[None]}
    assert settings["cold.length"] == "6 s"
    assert settings["bite.level"] == "40 N·m"


def test_labels_say_what_and_whose(knowledge: Knowledge) -> None:
    """A figure is told by its label and its entry's name."""
    labels = {known.name: known.label for known in knowledge.amounts["dune"]}
    assert labels["cold_mean"] == "Mean torque of Dune"
    assert labels["price"] == "price of Dune"


@pytest.mark.parametrize(
    ("text", "entries"),
    [
        ("Dune beats Alder.", ("dune", "alder")),
        ("ALDER SINTERED wins", ("alder",)),
        ("the alder's torque", ("alder",)),
        ("An alderman in the dunes", ()),
        ("Fjord, then Dune Organic", ("fjord", "dune")),
        ("", ()),
    ],
)
def test_entries_are_known_by_name(
    knowledge: Knowledge, text: str, entries: tuple[str, ...]
) -> None:
    """Names, short names and keys, as whole words, in the order they are said."""
    assert knowledge.entries_in(text) == entries


@pytest.mark.parametrize(
    ("text", "number", "gap", "entries"),
    [
        ("Alder makes 86.4, Dune 80.1.", "86.4", False, ("alder",)),
        ("Alder makes 86.4, Dune 80.1.", "80.1", False, ("dune",)),
        ("Alder makes 86.4 and Dune 80.1.", "80.1", False, ("dune",)),
        ("Dune is calm, at 80.1.", "80.1", False, ("dune",)),
        ("Alder, 6.4 ahead of Dune.", "6.4", True, ("alder", "dune")),
        ("Alder beats Dune with 86.4.", "86.4", False, ("alder", "dune")),
        ("Nobody makes 86.4.", "86.4", False, ()),
    ],
)
def test_a_number_belongs_to_the_entry_of_its_clause(
    knowledge: Knowledge,
    text: str,
    number: str,
    gap: bool,  # noqa: FBT001 (a row of a table)
    entries: tuple[str, ...],
) -> None:
    """One entry in the number's own clause is meant; a comparison means all of the sentence."""
    start = text.index(number)
    assert knowledge.named(text, start, start + len(number), gap=gap) == entries


def test_units_of_the_session_are_understood(knowledge: Knowledge) -> None:
    """The lexicon knows what the session measures in."""
    assert knowledge.lexicon.read(["newton", "metres"]) == (2, ("N*m",))
    assert knowledge.lexicon.symbols["€"] == ("EUR",)
