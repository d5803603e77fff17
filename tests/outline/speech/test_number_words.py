"""English number words, both ways."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.outline.speech.number_words import (
    Reading,
    is_number_word,
    read_fraction,
    read_number,
    say_number,
)


def _readings(text: str) -> tuple[int, list[tuple[str, str]]]:
    taken, readings = read_number(text.split())
    return taken, [(str(r.value), str(r.step)) for r in readings]


@pytest.mark.parametrize(
    ("written", "words"),
    [
        ("0", "zero"),
        ("14", "fourteen"),
        ("80", "eighty"),
        ("86.4", "eighty-six point four"),
        ("231", "two hundred and thirty-one"),
        ("1005", "one thousand and five"),
        ("1100", "one thousand one hundred"),
        ("2100034", "two million one hundred thousand and thirty-four"),
        ("-0.05", "minus zero point zero five"),
        ("10.20", "ten point two zero"),
    ],
)
def test_numbers_are_written_out(written: str, words: str) -> None:
    """Cardinals as in British English, decimals one by one (common practice, no source)."""
    assert say_number(written) == words


@pytest.mark.parametrize(
    ("text", "taken", "readings"),
    [
        ("two thirty one degrees", 3, [("231", "1"), ("2.31", "0.01")]),
        ("two hundred and thirty one", 5, [("231", "1")]),
        ("a hundred and five", 4, [("105", "1")]),
        ("eighty six point four", 4, [("86.4", "0.1")]),
        ("eighteen fifty", 2, [("1850", "1"), ("18.5", "0.01")]),
        ("one oh five", 3, [("105", "1"), ("1.05", "0.01")]),
        ("nine ninety", 2, [("990", "1"), ("9.9", "0.01")]),
        ("twelve hundred", 2, [("1200", "1")]),
        ("two three one", 3, [("231", "1")]),
        ("zero point oh five", 4, [("0.05", "0.01")]),
        ("point two three", 3, [("0.23", "0.01")]),
        ("point twenty five", 3, [("0.25", "0.01")]),
        ("two thirty one point four", 5, [("231.4", "0.1")]),
        ("eighty six and a half", 5, [("86.5", "0.5")]),
        ("three and three quarters of", 4, [("3.75", "0.25")]),
        ("one hundred thousand two hundred", 5, [("100200", "1")]),
        ("thirty thirty seconds", 2, [("3030", "1"), ("30", "1"), ("30.3", "0.01")]),
        ("two and three", 1, [("2", "1")]),
        ("hundred", 0, []),
        ("thousand five", 0, []),
        ("hello", 0, []),
        ("", 0, []),
        ("and", 0, []),
    ],
)
def test_numbers_are_read_as_people_say_them(
    text: str, taken: int, readings: list[tuple[str, str]]
) -> None:
    """All readings of shortened numbers are kept, each with its grain."""
    assert _readings(text) == (taken, readings)


@given(st.integers(0, 999_999_999))
def test_whole_numbers_go_round(number: int) -> None:
    """A number written out is read back as it, whole, and first of all readings."""
    words = say_number(str(number)).replace("-", " ").split()
    taken, readings = read_number(words[:12])
    if len(words) <= 12:
        assert taken == len(words)
        assert readings[0] == Reading(Decimal(number), Decimal(1))


@given(st.decimals(min_value=0, max_value=99999, places=2, allow_nan=False))
def test_decimals_go_round(number: Decimal) -> None:
    """Decimals written out are read back with all their digits."""
    words = say_number(f"{number:.2f}").replace("-", " ").split()
    if len(words) <= 12:
        _, readings = read_number(words)
        assert readings[0] == Reading(number, Decimal("0.01"))


@pytest.mark.parametrize(
    ("text", "taken", "value", "step"),
    [
        ("half a second", 1, "0.5", "0.5"),
        ("a third more", 2, "0.3333", "0.3333"),
        ("two thirds", 2, "0.6667", "0.3333"),
        ("three quarters", 2, "0.75", "0.25"),
        ("seven tenths", 2, "0.7", "0.1"),
    ],
)
def test_fractions_are_read(text: str, taken: int, value: str, step: str) -> None:
    """Named parts have their value, and the part as their grain."""
    found, reading = read_fraction(text.split())
    assert found == taken
    assert reading is not None
    assert (round(reading.value, 4), round(reading.step, 4)) == (Decimal(value), Decimal(step))


@pytest.mark.parametrize("text", ["third place", "the third", "quarter", "a second", ""])
def test_ordinals_and_units_are_no_fractions(text: str) -> None:
    """ "Third" by itself is an ordinal, and a second is a time."""
    assert read_fraction(text.split()) == (0, None)


def test_words_of_numbers_are_known() -> None:
    """What can be part of a number is told from what cannot."""
    assert all(map(is_number_word, ["zero", "ninety", "hundred", "million"]))
    assert not any(map(is_number_word, ["and", "point", "half", "first"]))
