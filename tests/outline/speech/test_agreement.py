"""When a spoken number agrees with a measured one."""

from __future__ import annotations

import math
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.numbers import rounded
from overlays.outline.speech.agreement import agrees, distance
from overlays.outline.speech.claims import Claim, find_claims
from overlays.outline.speech.number_words import Reading
from overlays.outline.speech.unit_words import lexicon

LEXICON = lexicon(["N*m", "%"])


def _claim(text: str) -> Claim:
    (claim,) = find_claims(text, LEXICON)
    return claim


def _agreed(text: str, data: float) -> str | None:
    claim = _claim(text)
    return next((a for r in claim.readings if (a := agrees(claim, r, data))), None)


@pytest.mark.parametrize(
    ("text", "data", "agreed"),
    [
        ("86.4 N·m", 86.44, "to the nearest 0.1"),
        ("86.4 N·m", 86.45, None),
        ("86.5 N·m", 86.45, "to the nearest 0.1"),
        ("86 N·m", 86.44, "to the nearest 1"),
        ("87 N·m", 86.44, None),
        ("230 N·m", 231.4, "to the nearest 10"),
        ("230 N·m", 225.1, None),
        ("200 N·m", 231.4, None),
        ("1200 N·m", 1195.0, "to the nearest 100"),
        ("eighty-six and a half newton metres", 86.44, "to the nearest 0.5"),
        ("about 85 N·m", 86.44, "about"),
        ("about 80 N·m", 86.44, None),
        ("just over 85 N·m", 86.44, "a little more"),
        ("just over 87 N·m", 86.44, None),
        ("just under 90 N·m", 86.44, "a little less"),
        ("just under 86 N·m", 86.44, None),
        ("just under 100 N·m", 86.44, None),
        ("87 percent of it", 0.8742, "to the nearest 1 %"),
        ("87 percent of it", 0.8751, None),
        ("a third more", 0.34, "as a share"),
        ("a third more", 0.42, None),
        ("twice as much", 2.04, "to the nearest 0.1"),
        ("half as much", 0.51, "as a share"),
        ("half as much", 0.56, None),
        ("about half as much", 0.54, "as a share"),
    ],
)
def test_agreement_by_hand(text: str, data: float, agreed: str | None) -> None:
    """Rounding at the grain it was said in, tens of a round number, and hedges that bind."""
    assert _agreed(text, data) == agreed


@given(st.floats(min_value=0.01, max_value=1e6), st.integers(0, 3))
def test_a_number_rounded_as_shown_agrees(data: float, places: int) -> None:
    """`overlays.numbers.rounded`, the project's rounding, is what a plain number is held to."""
    shown = rounded(data, places)
    reading = Reading(shown, Decimal(1).scaleb(-places))
    claim = Claim(str(shown), 0, 1, (reading,), ("N*m",), "amount", "", 0)
    assert agrees(claim, reading, data) == f"to the nearest {Decimal(1).scaleb(-places):f}"
    off = Reading(shown + reading.step, reading.step)
    if not (places == 0 and off.value % 10 == 0):
        assert agrees(claim, off, data) is None


@pytest.mark.parametrize("data", [math.nan, math.inf, -math.inf])
def test_nothing_agrees_with_no_number(data: float) -> None:
    """A missing value bears nothing out."""
    assert _agreed("86.4 N·m", data) is None


def test_distance_is_symmetric_and_zero_at_home() -> None:
    """Twice and half are as far; signs and zeros are infinitely far."""
    reading = Reading(Decimal(4), Decimal(1))
    assert distance(reading, 4.0) == 0
    assert distance(reading, 8.0) == pytest.approx(distance(reading, 2.0))
    assert distance(reading, -4.0) == distance(reading, 0.0) == math.inf
