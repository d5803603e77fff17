"""Quantities with units, by Pint.

A quantity is written as a number and a unit, ``"18.50 EUR"``, ``"6 s"``, ``"21 g"``. Every
currency is a dimension of its own: no exchange rate is ever assumed. A revolution is one turn, so
60 rpm is 1 Hz and 6.283 rad/s. Which units exist stands in ``units.txt``.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from decimal import Decimal
from functools import cache, lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from overlays.errors import UnitError
from overlays.unittext import Factor, read_factors, superscript

if TYPE_CHECKING:
    import numpy as np
    import pint
    from numpy.typing import NDArray

__all__ = [
    "CURRENCIES",
    "POINT",
    "Quantity",
    "convert",
    "convert_array",
    "convert_difference",
    "difference_unit",
    "is_offset",
    "per",
    "same_dimension",
    "symbol",
    "times",
]

CURRENCIES = {
    "EUR": "€", "USD": "$", "GBP": "£", "JPY": "¥", "CHF": "CHF", "SEK": "SEK", "NOK": "NOK",
    "DKK": "DKK", "PLN": "zł", "CZK": "Kč", "CAD": "CA$", "AUD": "A$", "NZD": "NZ$", "INR": "₹",
    "BRL": "R$", "MXN": "MX$", "ZAR": "ZAR", "KRW": "₩", "CNY": "CN¥",
}  # fmt: skip
POINT = "pp"
"""Percentage points: the unit of a difference of two values in percent."""

_CODES = {sign: code for code, sign in CURRENCIES.items()} | {"°": "deg"}
_QUANTITY = re.compile(
    r"\s*([+-]?\d+(?:\.\d+)?(?:[eE][+-]?\d+)?)(?:\s+(.*)|([^\s\d.,].*))?", re.DOTALL
)
# A temperature on one of these scales has an offset; in a product or a difference it has none.
_DIFFERENCES = {
    "degC": "delta_degC", "°C": "delta_degC", "celsius": "delta_degC",
    "degF": "delta_degF", "°F": "delta_degF", "fahrenheit": "delta_degF",
}  # fmt: skip
_ROTATION = {"[angle]": 1, "[time]": -1}
_RATE = {"[time]": -1}
# The author's litre stays the author's: both letters are right (SI Brochure, table 8).
_AS_WRITTEN = {"L", "mL", "dL", "hL"}


@cache
def _registry() -> pint.UnitRegistry[Any]:
    import pint

    registry: pint.UnitRegistry[Any] = pint.UnitRegistry(
        str(Path(__file__).with_name("units.txt")),
        autoconvert_offset_to_baseunit=True,
        cache_folder=None,
    )
    for code in CURRENCIES:
        registry.define(f"{code} = [currency_{code}]")
    return registry


@lru_cache(maxsize=2048)
def _factors(text: str) -> tuple[Factor, ...]:
    try:
        factors = read_factors(text)
    except ValueError as error:
        raise _unknown(text, str(error)) from error
    for factor in factors:
        name = _CODES.get(factor.name, factor.name)
        why = f"{factor.name!r} is not known"
        try:
            known = _registry().get_name(name)
        except AttributeError as error:  # Pint's UndefinedUnitError is one
            raise _unknown(text, why) from error
        if known == "pi":  # the definitions need it; a unit it is not
            raise _unknown(text, why)
    return factors


def _unknown(text: str, why: str) -> UnitError:
    return UnitError(
        f"{text[:60]!r} is not a unit: {why}.",
        code="unknown-unit",
        remedy="Write it as in N*m, lbf*ft, l/min, degC, % or EUR.",
    )


@lru_cache(maxsize=2048)
def _unit(text: str) -> pint.Unit:
    from pint.util import UnitsContainer

    factors = _factors(text)
    alone = len(factors) == 1 and factors[0].power == 1
    powers: dict[str, int] = {}
    for factor in factors:
        name = _CODES.get(factor.name, factor.name)
        name = name if alone else _DIFFERENCES.get(name, name)
        powers[name] = powers.get(name, 0) + factor.power
    return _registry().Unit(
        UnitsContainer({name: power for name, power in powers.items() if power})
    )


@lru_cache(maxsize=4096)
def same_dimension(a: str, b: str) -> bool:
    """Say whether a number in one unit can be converted to the other.

    Raises
    ------
    UnitError
        If either is unknown.
    """
    return bool(_unit(a).dimensionality == _unit(b).dimensionality) or bool(_turns(a, b))


@lru_cache(maxsize=4096)
def _turns(a: str, b: str) -> int:
    """Return 1 where `a` is a speed of rotation and `b` a frequency, -1 the other way, else 0."""
    dimensions = (dict(_unit(a).dimensionality), dict(_unit(b).dimensionality))
    if dimensions == (_ROTATION, _RATE):
        return 1
    return -1 if dimensions == (_RATE, _ROTATION) else 0


def _clash(a: str, b: str) -> UnitError:
    weight_for_force = any(
        same_dimension(one, "lb*ft") and same_dimension(other, "lbf*ft")
        for one, other in ((a, b), (b, a))
    )
    return UnitError(
        f"{a!r} cannot be converted to {b!r}: they measure different things.",
        code="unit-clash",
        remedy="lb is a mass: for torque write lbf*ft."
        if weight_for_force
        else "Check both units.",
    )


def _converted(value: Any, unit: str, to: str) -> Any:  # noqa: ANN401 (a float or an array)
    if _is_difference(unit) and is_offset(to):
        to = difference_unit(to)  # a difference of temperatures stays one
    if not same_dimension(unit, to) or (is_offset(unit) and _is_difference(to)):
        raise _clash(unit, to)
    quantity, turns = _registry().Quantity(value, _unit(unit)), _turns(unit, to)
    if turns:
        # A frequency counts turns: ω = 2π f (ISO 80000-3:2019, 3-17 and 3-18).
        turn_s, rate = ("turn/s", "Hz") if turns == 1 else ("Hz", "turn/s")
        quantity = _registry().Quantity(quantity.to(_unit(turn_s)).magnitude, _unit(rate))
    return quantity.to(_unit(to)).magnitude


# A script holds each of its numbers against the same few values of the data.
@lru_cache(maxsize=16_384)
def convert(value: float, unit: str, to: str) -> float:
    """Convert a number, offset temperatures as temperatures.

    Raises
    ------
    UnitError
        If a unit is unknown or the two measure different things.

    Examples
    --------
    >>> convert(60.0, "rpm", "Hz"), convert(2.0, "kN", "N")
    (1.0, 2000.0)
    """
    return value if unit == to else float(_converted(float(value), unit, to))


def convert_array(values: NDArray[np.float64], unit: str, to: str) -> NDArray[np.float64]:
    """Convert an array of shape (N,); NaN stays NaN. Raises as `convert`."""
    if unit == to:
        return values
    import numpy as np

    return np.asarray(_converted(values, unit, to), dtype=np.float64)


def is_offset(unit: str) -> bool:
    """Say whether the unit is a temperature scale whose zero is not absolute zero."""
    factors = _factors(unit)
    return len(factors) == 1 and factors[0].power == 1 and factors[0].name in _DIFFERENCES


def _is_difference(unit: str) -> bool:
    return unit in _DIFFERENCES.values()


def difference_unit(unit: str) -> str:
    """Return the unit of a difference, a spread or a slope: ``delta_degC`` for ``degC``.

    It is set on screen like the unit itself.
    """
    return _DIFFERENCES[_factors(unit)[0].name] if is_offset(unit) else unit


def convert_difference(value: float, unit: str, to: str) -> float:
    """Convert a difference of two values: 9 degF apart is 5 degC apart. Raises as `convert`."""
    return convert(value, difference_unit(unit), difference_unit(to))


def _joined(a: str, b: str, sign: int) -> str:
    """Write a product, or a quotient where `sign` is -1; what is above and below goes away."""
    powers: dict[str, int] = {}
    for text, way in ((a, 1), (b, sign)):
        for factor in _factors(text):
            powers[factor.name] = powers.get(factor.name, 0) + way * factor.power
    above = [_powered(name, power) for name, power in powers.items() if power > 0]
    below = [_powered(name, -power) for name, power in powers.items() if power < 0]
    top, bottom = "*".join(above), "*".join(below)
    if not below:
        return top
    return f"{top or '1'}/{bottom if len(below) == 1 else f'({bottom})'}"


def _powered(name: str, power: int) -> str:
    return name if power == 1 else f"{name}^{power}"


def times(a: str, b: str) -> str:
    """Write the product of two units: ``N*m`` and ``s`` give ``N*m*s``."""
    return _joined(a, b, 1)


def per(a: str, b: str) -> str:
    """Write the quotient of two units: ``N*m`` and ``EUR`` give ``N*m/EUR``."""
    return _joined(a, b, -1)


@lru_cache(maxsize=2048)
def symbol(unit: str) -> str:
    """Return the unit as it is set on screen, in the order it is written.

    Examples
    --------
    >>> symbol("N*m/EUR"), symbol("degC"), symbol("W/(m^2*K)"), symbol("s^-1")
    ('N·m/€', '°C', 'W/(m²·K)', 's⁻¹')
    """
    factors = _factors(unit)
    above = [_set(factor.name, factor.power) for factor in factors if not factor.over]
    below = [_set(factor.name, -factor.power) for factor in factors if factor.over]
    top = "·".join(above)
    if not below:
        return top
    bottom = "·".join(below)
    return f"{top or '1'}/{bottom if len(below) == 1 else f'({bottom})'}"


def _set(name: str, power: int) -> str:
    code = _CODES.get(name, name)
    sign = CURRENCIES.get(code) or (
        name if name in _AS_WRITTEN else _registry().get_symbol(code).removeprefix("Δ")
    )
    return sign + superscript(power)


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number with its unit, as written in a session.

    Parameters
    ----------
    value : float
        The number.
    unit : str
        The unit as written; empty for a plain number.
    places : int
        Decimals as written, kept for showing: 18.50 EUR has two.
    """

    value: float
    unit: str
    places: int = 0

    @classmethod
    def parse(cls, text: str) -> Quantity:
        """Read ``"18.50 EUR"``.

        Raises
        ------
        UnitError
            If there is no number in front, or the unit is unknown.
        """
        match = _QUANTITY.fullmatch(text) if len(text) < 200 else None
        if match is None or not math.isfinite(float(match[1])):
            raise UnitError(
                f"found {text[:60]!r}; expected a number and a unit.",
                code="bad-quantity",
                remedy='Write it like "6 s", "21 g" or "18.50 EUR", with a point as decimal mark.',
            )
        unit = (match[2] or match[3] or "").strip()
        try:
            _factors(unit)
        except UnitError as error:
            message = f"found {text[:60]!r}: {error.message}" if unit != text else error.message
            raise UnitError(message, code=error.code, remedy=error.remedy) from error
        exponent = Decimal(match[1]).as_tuple().exponent
        return cls(float(match[1]), unit, max(0, -int(exponent)))

    def to(self, unit: str) -> float:
        """Return the number in another unit; a temperature beside a difference is one itself.

        Raises `UnitError` as `convert`.
        """
        own = difference_unit(self.unit) if _is_difference(unit) else self.unit
        return convert(self.value, own, unit)
