"""Quantities with units, by Pint.

A quantity is written as a number and a unit, ``"18.50 EUR"``, ``"6 s"``, ``"21 g"``. Every
currency is a dimension of its own: no exchange rate is ever assumed.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from typing import TYPE_CHECKING, Any

from overlays.errors import UnitError

if TYPE_CHECKING:
    import numpy as np
    import pint
    from numpy.typing import NDArray

__all__ = ["CURRENCIES", "Quantity", "convert", "convert_array", "same_dimension", "symbol"]

CURRENCIES = {
    "EUR": "€", "USD": "$", "GBP": "£", "JPY": "¥", "CHF": "CHF", "SEK": "SEK", "NOK": "NOK",
    "DKK": "DKK", "PLN": "zł", "CZK": "Kč", "CAD": "CA$", "AUD": "A$", "NZD": "NZ$", "INR": "₹",
    "BRL": "R$", "MXN": "MX$", "ZAR": "ZAR", "KRW": "₩", "CNY": "CN¥",
}  # fmt: skip
_QUANTITY = re.compile(r"\s*([+-]?\d+(?:\.\d+)?(?:[eE][+-]?\d+)?)\s*(\D.*)?", re.DOTALL)
_UNIT_TEXT = re.compile(r"[\w%°µμΩ·⋅*/^().\-+ ²³⁻¹]{0,80}")
_SYMBOLS = {"": "", "percent": "%", "degC": "°C", "degF": "°F", "rpm": "rpm", "minute": "min"}


@cache
def _registry() -> pint.UnitRegistry[Any]:
    import pint

    registry: pint.UnitRegistry[Any] = pint.UnitRegistry(
        autoconvert_offset_to_baseunit=True, cache_folder=None
    )
    for code in CURRENCIES:
        registry.define(f"{code} = [currency_{code}]")
    # Pint counts a revolution as 2π radians and a radian as one, which turns 60 rpm into 6.28 Hz.
    # On a bench a revolution is one turn, so 60 rpm is 1 Hz; angles keep their own dimension.
    registry.define("@alias percent = pct")
    return registry


@cache
def _unit(text: str) -> pint.Unit:
    import pint

    # Text from a session reaches a parser here: only letters, digits and unit punctuation pass.
    if not _UNIT_TEXT.fullmatch(text) or ("**" in text.replace(" ", "") and len(text) > 40):
        raise _unknown(text)
    cleaned = text.strip().replace("%", "percent").replace("·", "*").replace("⋅", "*")
    cleaned = cleaned.replace("°C", "degC").replace("°F", "degF").replace("€", "EUR")
    try:
        return _registry().Unit(cleaned)
    except (pint.errors.PintError, ValueError, TypeError, AttributeError, RecursionError) as error:
        raise _unknown(text) from error
    except Exception as error:  # tokenising errors of Python's own tokenizer
        raise _unknown(text) from error


def _unknown(text: str) -> UnitError:
    return UnitError(
        f"{text!r} is not a unit that is known.",
        code="unknown-unit",
        remedy="Write it as in N*m, lbf*ft, l/min, degC, % or EUR.",
    )


def same_dimension(a: str, b: str) -> bool:
    """Say whether two units measure the same thing.

    Raises
    ------
    UnitError
        If either is unknown.
    """
    return bool(_unit(a).dimensionality == _unit(b).dimensionality)


def _clash(a: str, b: str) -> UnitError:
    torque = {"ft*lb", "lb*ft", "ft·lb"} & {a, b}
    return UnitError(
        f"{a!r} cannot be converted to {b!r}: they measure different things.",
        code="unit-clash",
        remedy="For torque write lbf*ft; lb is a mass." if torque else "Check both units.",
    )


def convert(value: float, unit: str, to: str) -> float:
    """Convert a number, offset temperatures as temperatures.

    Raises
    ------
    UnitError
        If a unit is unknown or the two measure different things.
    """
    if unit == to:
        return value
    if not same_dimension(unit, to):
        raise _clash(unit, to)
    registry = _registry()
    return float(registry.Quantity(value, _unit(unit)).to(_unit(to)).magnitude)


def convert_array(values: NDArray[np.float64], unit: str, to: str) -> NDArray[np.float64]:
    """Convert an array of shape (N,); NaN stays NaN. Raises as `convert`."""
    if unit == to:
        return values
    if not same_dimension(unit, to):
        raise _clash(unit, to)
    import numpy as np

    converted = _registry().Quantity(values, _unit(unit)).to(_unit(to)).magnitude
    return np.asarray(converted, dtype=np.float64)


@cache
def symbol(unit: str) -> str:
    """Return the unit as it is set on screen: ``N·m``, ``°C``, ``N·m/€``."""
    if unit in _SYMBOLS:
        return _SYMBOLS[unit]
    parsed = _unit(unit)
    if parsed.dimensionless and str(parsed) == "dimensionless":
        return ""
    text = f"{parsed:~P}".replace("percent", "%").replace("Δ°C", "°C").replace("Δ°F", "°F")
    for code, sign in CURRENCIES.items():
        text = re.sub(rf"\b{code}\b", sign, text)
    return text


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
        if match is None:
            raise UnitError(
                f"{text[:60]!r} is not a quantity; expected a number and a unit.",
                code="bad-quantity",
                remedy='Write it like "6 s", "21 g" or "18.50 EUR", with a point as decimal mark.',
            )
        unit = (match[2] or "").strip()
        _unit(unit)
        exponent = Decimal(match[1]).as_tuple().exponent
        return cls(float(match[1]), unit, max(0, -int(exponent)))

    def to(self, unit: str) -> float:
        """Return the number in another unit. Raises `UnitError` as `convert`."""
        return convert(self.value, self.unit, unit)
