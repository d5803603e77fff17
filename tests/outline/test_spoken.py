"""Values in words: rounding as people round, and words that are never wrong."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from overlays.outline.reference import Operand, Reference, parse_reference
from overlays.outline.speech.agreement import agrees
from overlays.outline.speech.claims import find_claims
from overlays.outline.speech.unit_words import lexicon
from overlays.outline.spoken import Wording, round_for_speech, word
from overlays.outline.value import Value

LEXICON = lexicon(["N*m", "EUR", "s"])


def _value(number: float, unit: str = "N*m", places: int = 1) -> Value:
    return Value(number, unit, places, ())


def _reference(how: str) -> Reference:
    return parse_reference(f"alder x {how}")


@pytest.mark.parametrize(
    ("number", "unit", "places", "how", "written", "aloud"),
    [
        (86.44, "N*m", 1, "", "86.4 N·m", "86.4 newton metres"),
        (18.5, "EUR", 2, "", "18.50 €", "18.50 euros"),
        (1, "s", 0, "", "1 s", "1 second"),
        (-6.38, "N*m", 1, "", "−6.4 N·m", "minus 6.4 newton metres"),
        (-6.38, "N*m", 1, "unsigned", "6.4 N·m", "6.4 newton metres"),
        (86.44, "N*m", 1, "bare", "86.4", "86.4"),
        (86.44, "N*m", 1, "about", "about 85 N·m", "about 85 newton metres"),
        (231.4, "degC", 0, "about", "just over 230 °C", "just over 230 degrees Celsius"),
        (0.318, "s", 2, "about", "just under 0.32 s", "just under 0.32 seconds"),
        (86.44, "N*m", 1, "in words", "eighty-six point four newton metres",
         "eighty-six point four newton metres"),
        (0.045, "s", 2, "", "0.05 s", "0.05 seconds"),
        (0, "s", 2, "about", "0 s", "0 seconds"),
    ],
)  # fmt: skip
def test_values_as_written_and_as_read_aloud(  # noqa: PLR0917 (a row of a table)
    number: float, unit: str, places: int, how: str, written: str, aloud: str
) -> None:
    """The script has symbols, the host reads words, and both have the same digits."""
    worded = word(_value(number, unit, places), _reference(how), decimal_mark=".")
    assert worded == Wording(written, aloud)


@pytest.mark.parametrize(
    ("number", "words"), [(7.2, "7 percentage points"), (-1, "−1 percentage points")]
)
def test_shares_differ_by_percentage_points(number: float, words: str) -> None:
    """62 % and 55 % are 7 percentage points apart; 7 % would be something else."""
    difference = parse_reference("alder kept minus dune kept")
    assert word(_value(number, "%", 0), difference, decimal_mark=".").written == words


def test_a_figure_in_percentage_points_says_so() -> None:
    """A declared difference of shares is told in the same words as one made in the script."""
    worded = word(_value(7, "pp", 0), parse_reference("alder drop"), decimal_mark=".")
    assert worded == Wording("7 percentage points", "7 percentage points")


def test_one_point_is_one() -> None:
    """A single percentage point is told in the singular."""
    difference = parse_reference("alder kept minus dune kept")
    worded = word(_value(1, "%", 0), difference, decimal_mark=".")
    assert worded == Wording("1 percentage point", "1 percentage point")


def test_the_decimal_mark_is_the_sessions() -> None:
    """With a comma as decimal mark the script has commas."""
    assert word(_value(86.44), _reference(""), decimal_mark=",").written == "86,4 N·m"


@pytest.mark.parametrize(
    ("percent", "about", "words"),
    [
        (7.97, False, "8 % more"),
        (-38.2, False, "38 % less"),
        (0.2, False, "just as much"),
        (33.9, True, "a third more"),
        (31.5, True, "just under a third more"),
        (-24.5, True, "a quarter less"),
        (100, True, "twice as much"),
        (201, True, "just over three times as much"),
        (-50.6, True, "just under half as much"),
        (0.5, True, "about as much"),
        (41.3, True, "just over 41 % more"),
        (8.0, True, "8 % more"),
    ],
)
def test_comparisons(percent: float, about: bool, words: str) -> None:  # noqa: FBT001 (a row)
    """How much more or less, in percent or as people say it."""
    reference = Reference(Operand("a", "x"), "against", Operand("b", "x"), about=about)
    assert word(_value(percent, "%", 0), reference, decimal_mark=".").written == words


@pytest.mark.parametrize(
    ("ratio", "words"),
    [
        (0.5, "half"),
        (0.66, "just under two thirds"),
        (0.87, "about 0.85"),
        (2.02, "just over twice"),
    ],
)
def test_shares(ratio: float, words: str) -> None:
    """A ratio near a share or a multiple is said as one."""
    reference = Reference(Operand("a", "x"), "over", Operand("b", "x"), about=True)
    assert word(_value(ratio, "", 2), reference, decimal_mark=".").written == words


@given(st.floats(min_value=1e-3, max_value=1e6))
def test_rounding_for_speech_stays_near_and_true(value: float) -> None:
    """What is said lies within 2.5 %, on the side the words say, and has few digits."""
    hedge, text = round_for_speech(value)
    said = float(text)
    assert abs(said - value) <= 0.0251 * value
    assert not (hedge == "just over" and said > value)
    assert not (hedge == "just under" and said < value)
    assert len(text.replace(".", "").strip("0")) <= 3
    assert round_for_speech(-value)[1] == f"-{text}"


@given(st.floats(min_value=0.01, max_value=1e5), st.sampled_from(["", "about", "in words"]))
def test_what_is_written_is_borne_out_when_read_back(value: float, how: str) -> None:
    """A filled-in number, read as if somebody had typed it, agrees with the data."""
    assume(round(value, 2) > 0)
    worded = word(_value(value, "N*m", 2), _reference(how), decimal_mark=".")
    for text in (worded.written, worded.aloud):
        (claim,) = find_claims(f"it makes {text} there", LEXICON)
        assert any(agrees(claim, reading, value) for reading in claim.readings), text
