from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.logs.cells import MISSING, DecimalVotes, is_missing, is_numeric, number


@pytest.mark.parametrize(
    ("cell", "decimal", "value"),
    [
        ("1.5", ".", 1.5),
        ("-1.5e-3", ".", -0.0015),
        ("+2", ".", 2.0),
        (".5", ".", 0.5),
        ("5.", ".", 5.0),
        ("1,5E-03", ",", 0.0015),
        ("1.013,25", ",", 1013.25),
        ("1,013.25", ".", 1013.25),
        ("1'013.25", ".", 1013.25),
        ("1\N{NO-BREAK SPACE}013,25", ",", 1013.25),
        ("12\N{NARROW NO-BREAK SPACE}345\N{NARROW NO-BREAK SPACE}678,5", ",", 12345678.5),
        ("\N{MINUS SIGN}1,5", ",", -1.5),
        ("\N{EN DASH}1.013,5", ",", -1013.5),
        ("12,34,567.5", ".", 1234567.5),
        ("1.250.000", ",", 1250000.0),
    ],
)
def test_numbers(cell: str, decimal: str, value: float) -> None:
    """Signs, exponents and grouped thousands are read by the decimal mark."""
    assert number(cell, decimal) == value


@pytest.mark.parametrize(
    ("cell", "decimal"),
    [
        ("ERR", "."),
        ("1.5", ","),
        ("12,5", "."),
        ("1,2,3", "."),
        ("1.01.5", "."),
        ("0x10", "."),
        ("1_000", "."),
        ("0.345", ","),
        ("inf", "."),
        ("1e999", "."),
        ("12:30", "."),
        ("١٢", "."),
        ("9.91E+37", "."),
        ("1" * 61, "."),
    ],
)
def test_no_numbers(cell: str, decimal: str) -> None:
    """Words, the other decimal mark, infinities and SCPI's not-a-number are told, never guessed."""
    assert number(cell, decimal) is None


@pytest.mark.parametrize("cell", [*MISSING, "–", "——", "#n/a", "-NaN"])
def test_missing_is_a_gap(cell: str) -> None:
    """What loggers write for nothing is a gap, and never zero."""
    assert is_missing(cell)
    assert math.isnan(number(cell, ".") or 0.0)


@given(st.floats(allow_nan=False, allow_infinity=False, width=32))
def test_written_floats_come_back(value: float) -> None:
    """Every finite number comes back exactly, whatever the decimal mark."""
    text = repr(value)
    assert number(text, ".") == value
    assert number(text.replace(".", ","), ",") == value
    assert is_numeric(text)


@given(st.text(max_size=80))
def test_any_text_is_read_or_refused(cell: str) -> None:
    """No cell breaks the reader."""
    value = number(cell.strip(), ".")
    assert value is None or isinstance(value, float)


@pytest.mark.parametrize(
    ("cell", "point", "comma", "unclear"),
    [
        ("1.250", 0, 0, 1),
        ("1,250", 0, 0, 1),
        ("0.250", 1, 0, 0),
        ("12.5", 1, 0, 0),
        ("1234.567", 1, 0, 0),
        ("1.250e3", 1, 0, 0),
        ("0,25", 0, 1, 0),
        ("1,5E-03", 0, 1, 0),
        ("1.250.000", 0, 1, 0),
        ("1,250,000", 1, 0, 0),
        ("1.250,5", 0, 1, 0),
        ("1,250.5", 1, 0, 0),
        ("1250", 0, 0, 0),
        ("ERR.5", 0, 0, 0),
        ("-12.50", 1, 0, 0),
    ],
)
def test_votes(cell: str, point: int, comma: int, unclear: int) -> None:
    """A cell speaks for a decimal mark only if it cannot be read with the other."""
    votes = DecimalVotes()
    votes.add(cell)
    assert (votes.point, votes.comma) == (point, comma)
    assert votes.unclear_point + votes.unclear_comma == unclear
