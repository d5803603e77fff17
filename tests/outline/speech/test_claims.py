"""Numbers in running text."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.outline.speech.claims import Claim, find_claims
from overlays.outline.speech.unit_words import lexicon

LEXICON = lexicon(["N*m", "EUR", "g", "degC", "N*m/EUR", "s", "%"])


def _one(text: str) -> Claim:
    (claim,) = find_claims(text, LEXICON)
    assert text[claim.start : claim.end] == claim.text
    return claim


@pytest.mark.parametrize(
    ("text", "said", "value", "unit"),
    [
        ("Alder averages 86.4 N·m there", "86.4 N·m", "86.4", "N*m"),
        ("it makes 86Nm.", "86Nm", "86", "N*m"),
        ("at 18g it is light", "18g", "18", "g"),
        ("it costs €18.50 now", "€18.50", "18.50", "EUR"),
        ("it costs 18.50 €.", "18.50 €", "18.50", "EUR"),
        ("at -5 °C outside", "-5 °C", "-5", "degC"),
        ("1,234.5 g in all", "1,234.5 g", "1234.5", "g"),
        ("3 thousand grams", "3 thousand grams", "3000", "g"),
        ("in six seconds", "six seconds", "6", "s"),
        ("it hits two hundred and thirty-one degrees", "two hundred and thirty-one degrees", "231",
         "degC"),
        ("a quarter of a second", "a quarter of a second", "0.25", "s"),
        ("half a second", "half a second", "0.5", "s"),
        ("eighty-six and a half newton metres", "eighty-six and a half newton metres", "86.5",
         "N*m"),
        ("86 and a half newton metres", "86 and a half newton metres", "86.5", "N*m"),
        ("7.2 newton metres per euro", "7.2 newton metres per euro", "7.2", "N*m/EUR"),
    ],
)  # fmt: skip
def test_amounts_are_found_with_their_unit(text: str, said: str, value: str, unit: str) -> None:
    """Figures or words, symbols or names, units before or behind."""
    claim = _one(text)
    assert (claim.text, str(claim.readings[0].value), claim.units[0]) == (said, value, unit)
    assert claim.form == "amount"


@pytest.mark.parametrize(
    ("text", "said", "values", "unit"),
    [
        ("it costs nine euros ninety now", "nine euros ninety", {"9.9"}, "EUR"),
        ("it costs 18 euros 50", "18 euros 50", {"18.5"}, "EUR"),
        ("it costs eighteen fifty", "eighteen fifty", {"1850", "18.5"}, "EUR"),
        ("it weighs about twenty-one", "about twenty-one", {"21"}, "g"),
        ("Alder scored ninety and a half", "ninety and a half", {"90.5"}, "points"),
        # What follows is another number, or no cents.
        ("for nine euros 86 grams", "nine euros", {"9"}, "EUR"),
        ("for nine euros, ninety of them", "nine euros", {"9"}, "EUR"),
        ("for nine euros 7 times", "nine euros", {"9"}, "EUR"),
    ],
)
def test_money_is_read_as_it_is_said(text: str, said: str, values: set[str], unit: str) -> None:
    """Cents follow their unit, and a verb says what a number without a unit is in."""
    claim = find_claims(text, LEXICON)[0]
    assert claim.text == said
    assert {f"{reading.value.normalize():f}" for reading in claim.readings} == values
    assert unit in claim.units


@pytest.mark.parametrize(
    ("text", "form", "hedge", "side", "value"),
    [
        ("six newton metres down on Dune", "difference", "", -1, "6"),
        ("a lead of 6.4 N·m over Dune", "difference", "", 0, "6.4"),
        ("6.4 N·m between the two", "difference", "", 0, "6.4"),
        ("half a second later", "difference", "", 1, "0.5"),
        ("ahead by about 6 N·m", "difference", "about", 0, "6"),
        ("eighty-seven percent of it", "ratio", "", 0, "0.87"),
        ("87% of it", "ratio", "", 0, "0.87"),
        ("8 % more", "excess", "", 1, "0.08"),
        ("twelve percent cheaper", "excess", "", -1, "0.12"),
        ("twice as strong", "ratio", "", 0, "2"),
        ("nearly twice as much", "ratio", "under", 0, "2"),
        ("three times as hard", "ratio", "", 0, "3"),
        ("3.2 times as hard", "ratio", "", 0, "3.2"),
        ("half as much", "ratio", "", 0, "0.5"),
        ("half as much again", "excess", "", 1, "0.5"),
        ("about a quarter more", "excess", "about", 1, "0.25"),
        ("two tenths of that", "ratio", "", 0, "0.2"),
        ("just over 85 N·m", "amount", "over", 0, "85"),
        ("just under six newton metres", "amount", "under", 0, "6"),
        ("at least 40 N·m", "amount", "over", 0, "40"),
        ("something like 40 N·m", "amount", "about", 0, "40"),
    ],
)
def test_what_is_claimed_is_understood(
    text: str, form: str, hedge: str, side: int, value: str
) -> None:
    """Differences, ratios, how much more or less, and how firmly it is said."""
    claim = _one(text)
    assert (claim.form, claim.hedge, claim.side) == (form, hedge, side)
    assert str(claim.readings[0].value) == value


@pytest.mark.parametrize(
    "text",
    [
        "Every pad does every test three times.",
        "From second last to third, and first place.",
        "One of these takes the lead.",
        "You know it from episode three, or episode 31.",
        "Count to two, then to ten.",
        "At 12:30 on 2031-05-04, version 1.2.3, mk2, 3/4 and 10x.",
        "ISO 4210 says so.",
        "a third party",
        "the other half",
        "Nothing at all.",
        "",
    ],
)
def test_counts_and_names_are_no_claims(text: str) -> None:
    """Small counts, ordinals, labels, dates, times and versions say nothing about a measurement."""
    assert find_claims(text, LEXICON) == ()


def test_a_bare_number_is_a_claim_when_it_is_no_count() -> None:
    """ "Two thirty-one" without a unit can only be a measurement; both readings are kept."""
    claim = _one("The rotor hits two thirty-one.")
    assert [str(r.value) for r in claim.readings] == ["231", "2.31"]
    assert claim.units == ()


def test_several_claims_of_a_sentence_come_in_order() -> None:
    """Each number of a sentence is found once."""
    claims = find_claims("It makes 86.4 N·m, 8 % more, for 18.50 € and eighty grams.", LEXICON)
    assert [c.text for c in claims] == ["86.4 N·m", "8 % more", "18.50 €", "eighty grams"]


def test_the_decimal_mark_is_the_sessions() -> None:
    """With a comma as decimal mark the full stop parts thousands."""
    claims = find_claims("1.234,5 g und 86,4 N·m", LEXICON, decimal_mark=",")
    assert [str(c.readings[0].value) for c in claims] == ["1234.5", "86.4"]


def test_a_number_ends_at_a_comma() -> None:
    """ "Two, thirty-one grams" is no two hundred and thirty-one."""
    (claim,) = find_claims("two, thirty-one grams", LEXICON)
    assert claim.text == "thirty-one grams"


@given(st.text(max_size=200))
def test_any_text_can_be_searched(text: str) -> None:
    """Whatever the text, claims lie within it, in order, with finite numbers."""
    claims = find_claims(text, LEXICON)
    assert all(0 <= claim.start < claim.end <= len(text) for claim in claims)
    assert [claim.start for claim in claims] == sorted(claim.start for claim in claims)
    assert all(r.value.is_finite() and r.step > 0 for c in claims for r in c.readings)
