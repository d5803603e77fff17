"""Unit text, read into factors in the order they are written.

::

    unit   = [term { ("*" | "·" | "×" | "." | "-" | " ") term }] { "/" term }
    term   = "1" | ( name | "(" unit ")" ) [ power ]
    power  = ("^" | "**") integer | superscript integer | "-" digit

A product after a fraction line is refused: J/kg K means two things, and the SI Brochure (9th ed.,
5.4.6) asks for brackets. Names are looked up by `overlays.units`; nothing here evaluates anything.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

__all__ = ["Factor", "read_factors", "superscript"]

_LONGEST = 80
_HIGHEST_POWER = 9
_RAISED = str.maketrans("⁺⁻⁰¹²³⁴⁵⁶⁷⁸⁹", "+-0123456789")
_RAISE = str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")
_TOKEN = re.compile(
    r"\s*(?:"
    r"(?P<name>[°%‰$€£¥₹₩](?!{letter})|°?{letter}[^\W⁰¹²³⁴⁵⁶⁷⁸⁹]*\$?)"
    r"|(?P<power>(?:\^|\*\*)\s*[+-]?\d+|[⁺⁻]?[⁰¹²³⁴⁵⁶⁷⁸⁹]+|-\d+)"
    r"|(?P<one>1)"
    r"|(?P<open>\()|(?P<close>\))"
    r"|(?P<over>/)|(?P<times>[*·⋅×.\-])"
    r")".replace("{letter}", r"[^\W\d_⁰¹²³⁴⁵⁶⁷⁸⁹]")
)


@dataclass(frozen=True, slots=True)
class Factor:
    """One name with its power as it acts on the whole unit.

    Parameters
    ----------
    name : str
        As written.
    power : int
        Negative below the fraction line; never zero.
    over : bool
        Whether it is written below a fraction line, rather than with a negative power.
    """

    name: str
    power: int
    over: bool


def superscript(power: int) -> str:
    """Write a power raised: ``²``, ``⁻¹``; nothing for 1."""
    return "" if power == 1 else str(power).translate(_RAISE)


def read_factors(text: str) -> tuple[Factor, ...]:
    """Read unit text.

    Parameters
    ----------
    text : str
        Such as ``N*m/EUR`` or ``W/(m²·K)``; empty for a plain number.

    Returns
    -------
    tuple of Factor
        In the order written, empty for a plain number.

    Raises
    ------
    ValueError
        If the text follows no such form.

    Examples
    --------
    >>> [(factor.name, factor.power) for factor in read_factors("W/(m^2*K)")]
    [('W', 1), ('m', -2), ('K', -1)]
    """
    if len(text) > _LONGEST:
        raise ValueError("it is too long")
    reader = _Reader(_tokens(text))
    factors = reader.product(over=False) if reader.tokens else []
    if reader.tokens:
        raise ValueError("its parentheses do not match")
    return tuple(factors)


def _tokens(text: str) -> list[tuple[str, str]]:
    tokens: list[tuple[str, str]] = []
    place, end = 0, len(text.rstrip())
    while place < end:
        match = _TOKEN.match(text, place)
        if match is None or match.lastgroup is None:
            raise ValueError("it holds something else than names, powers, products and quotients")
        tokens.append((match.lastgroup, match[match.lastgroup]))
        place = match.end()
    return tokens


class _Reader:
    """Walks the tokens once, by recursive descent; depth is bounded by the text's length."""

    def __init__(self, tokens: list[tuple[str, str]]) -> None:
        self.tokens = tokens

    def _next(self) -> str:
        return self.tokens[0][0] if self.tokens else "end"

    def product(self, *, over: bool) -> list[Factor]:
        factors = [] if self._next() == "over" else self.term(over=over)
        below = False
        while (kind := self._next()) in {"over", "times", "name", "open"}:
            if below and kind != "over":
                raise ValueError("what lies below the fraction line needs parentheses")
            if kind in {"over", "times"}:
                self.tokens.pop(0)
            below = kind == "over"
            factors += self.term(over=over != below)
        return factors

    def term(self, *, over: bool) -> list[Factor]:
        kind = self._next()
        if kind == "open":
            self.tokens.pop(0)
            inner = self.product(over=over)
            if self._next() != "close":
                raise ValueError("its parentheses do not match")
            self.tokens.pop(0)
        elif kind == "name":
            inner = [Factor(self.tokens.pop(0)[1], -1 if over else 1, over)]
        elif kind == "one":
            self.tokens.pop(0)
            return []
        else:
            raise ValueError("a name is missing in it")
        power = self._power()
        return [Factor(factor.name, factor.power * power, factor.over) for factor in inner]

    def _power(self) -> int:
        if self._next() != "power":
            return 1
        power = int(self.tokens.pop(0)[1].translate(_RAISED).lstrip("^*").strip())
        if not 0 < abs(power) <= _HIGHEST_POWER:
            raise ValueError(f"powers go from -{_HIGHEST_POWER} to {_HIGHEST_POWER}, without 0")
        return power
