"""Unit text read into factors."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.unittext import Factor, read_factors, superscript


@pytest.mark.parametrize(
    ("text", "factors"),
    [
        ("", []),
        ("1", []),
        ("N*m", [("N", 1, False), ("m", 1, False)]),
        ("N m", [("N", 1, False), ("m", 1, False)]),
        ("N·m", [("N", 1, False), ("m", 1, False)]),
        ("lbf-ft", [("lbf", 1, False), ("ft", 1, False)]),
        ("m/s/s", [("m", 1, False), ("s", -1, True), ("s", -1, True)]),
        ("W/(m²·K)", [("W", 1, False), ("m", -2, True), ("K", -1, True)]),
        ("(m/s)^2", [("m", 2, False), ("s", -2, True)]),
        ("a/(b/c)", [("a", 1, False), ("b", -1, True), ("c", 1, False)]),
        ("m·s⁻²", [("m", 1, False), ("s", -2, False)]),
        ("s-1", [("s", -1, False)]),
        ("/min", [("min", -1, True)]),
        ("1/min", [("min", -1, True)]),
        ("°C", [("°C", 1, False)]),
        ("°", [("°", 1, False)]),
        ("€/kg", [("€", 1, False), ("kg", -1, True)]),
    ],
)
def test_text_is_read_in_its_order(text: str, factors: list[tuple[str, int, bool]]) -> None:
    """Names keep their order, powers act through brackets, a fraction line is remembered."""
    assert read_factors(text) == tuple(Factor(*factor) for factor in factors)


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("N*", "a name is missing"),
        ("(N", "parentheses do not match"),
        ("N)", "parentheses do not match"),
        ("J/kg K", "needs parentheses"),
        ("a/b*c", "needs parentheses"),
        ("N^0", "powers go from -9 to 9"),
        ("N^10", "powers go from -9 to 9"),
        ("2 N", "something else"),
        ("N;m", "something else"),
        ("m" * 81, "too long"),
    ],
)
def test_what_is_ambiguous_or_wrong_is_refused(text: str, why: str) -> None:
    """A product below a fraction line needs brackets (SI Brochure, 5.4.6); the rest is no unit."""
    with pytest.raises(ValueError, match=why):
        read_factors(text)


names = st.sampled_from(["N", "m", "s", "kg", "EUR", "°C"])
powers = st.integers(-9, 9).filter(bool)


@given(st.lists(st.tuples(names, powers), min_size=1, max_size=6))
def test_either_way_of_writing_powers_is_the_same(factors: list[tuple[str, int]]) -> None:
    """Carets, double stars and raised digits say the same."""
    ways = [
        "*".join(f"{name}^{power}" for name, power in factors),
        " ".join(f"{name}**{power}" for name, power in factors),
        "·".join(name + (superscript(power) or "¹") for name, power in factors),
    ]
    readings = [read_factors(text) for text in ways]
    assert readings[0] == readings[1] == readings[2]
    assert [(one.name, one.power) for one in readings[0]] == factors


def test_powers_are_set_raised() -> None:
    """A power of one is not written."""
    assert [superscript(power) for power in (1, 2, -1, -12)] == ["", "²", "⁻¹", "⁻¹²"]
