"""Rounding against Python's decimal, ISO 80000-1 rows and a file of hard halves."""

from __future__ import annotations

import csv
import math
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.numbers import MINUS, fixed, is_shown, rounded, typeset
from tests.outside import Row, rows

CASES = Path(__file__).parent / "data" / "cases" / "rank_half_up.csv"
# The right outcome of each line of that file, as its index states it.
SHOWN = ("0.63", "0.38", "5", "4", "0.7", "0.9", "4.35", "8.58", "-0.05", "0.00", "0.30")
HALVES = [row for row in rows("ranking", "round.") if isinstance(row.input, dict)]


def test_hard_halves_round_away_from_zero() -> None:
    """Halves, binary fractions, negative zero and float dust are shown as a person would."""
    with CASES.open(encoding="utf-8") as lines:
        found = [fixed(float(row["value"]), int(row["places"])) for row in csv.DictReader(lines)]
    assert tuple(found) == SHOWN


@pytest.mark.parametrize("row", HALVES, ids=lambda row: row.id)
def test_rule_b_of_iso_80000_1(row: Row) -> None:
    """Ties go away from zero: ISO 80000-1, annex B, rule B; IEEE 754 roundTiesToAway."""
    places = -Decimal(row.input["to"]).as_tuple().exponent  # type: ignore[operator]  # finite
    expected = Decimal(row.expected["half_away"])
    assert rounded(float(row.input["decimal"]), places) == expected
    assert rounded(Decimal(row.input["decimal"]), places) == expected
    assert rounded(Fraction(row.input["decimal"]), places) == expected


def test_rounding_is_one_step() -> None:
    """2.449 to one decimal is 2.4, not 2.5 by way of 2.45 (ISO 80000-1, annex B, from memory)."""
    assert fixed(2.449, 1) == "2.4"


def test_there_is_no_minus_zero() -> None:
    """-0.04 to one decimal is 0.0 (closed form)."""
    assert fixed(-0.04, 1) == "0.0"
    assert fixed(Fraction(-1, 1000), 2) == "0.00"
    assert fixed(-0.0, 0) == "0"


@given(
    st.decimals(
        allow_nan=False, allow_infinity=False, places=6, min_value=-(10**9), max_value=10**9
    ),
    st.integers(0, 5),
)
def test_rounding_is_that_of_the_decimal_module(value: Decimal, places: int) -> None:
    """ROUND_HALF_UP of Python's decimal says the same, and so does the exact fraction."""
    expected = value.quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_UP)
    assert rounded(value, places) == expected
    assert rounded(Fraction(value), places) == expected


@given(st.floats(allow_nan=False, allow_infinity=False, min_value=-1e12, max_value=1e12))
def test_floats_round_by_their_shortest_text(value: float) -> None:
    """What is rounded is the number as it would be written, not its binary expansion."""
    expected = Decimal(repr(value)).quantize(Decimal("0.01"), rounding=ROUND_HALF_UP)
    assert rounded(value, 2) == expected


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_a_missing_value_has_no_digits(value: float) -> None:
    """NaN and infinity are refused rather than shown."""
    with pytest.raises(ValueError, match="cannot round"):
        rounded(value, 1)
    assert not is_shown(value)


def test_missing_is_not_zero() -> None:
    """None is not shown, zero is."""
    assert not is_shown(None)
    assert is_shown(0.0)


def test_typeset_uses_a_true_minus_and_the_sessions_mark() -> None:
    """A hyphen becomes a minus sign and the point the session's decimal mark."""
    assert typeset("-12.5", decimal_mark=",") == f"{MINUS}12,5"
