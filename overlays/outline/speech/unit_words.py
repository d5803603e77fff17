"""Units as people say them: "newton metres per euro", and which unit was meant by what was said.

Names follow the SI Brochure, 9th edition (2019), and NIST SP 811 (2008), in British and American
spelling; shortened ones ("kilos", "degrees") are common usage, no source.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache

from overlays.units import CURRENCIES, symbol
from overlays.unittext import Factor, read_factors

__all__ = ["Lexicon", "lexicon", "spoken_unit"]

# Unit → (one of it, several of it, other ways to say it).
_NAMES: dict[str, tuple[str, str, tuple[str, ...]]] = {
    "N": ("newton", "newtons", ()),
    "kN": ("kilonewton", "kilonewtons", ()),
    "m": ("metre", "metres", ("meter", "meters")),
    "mm": ("millimetre", "millimetres", ("millimeter", "millimeters", "mil")),
    "cm": ("centimetre", "centimetres", ("centimeter", "centimeters")),
    "km": ("kilometre", "kilometres", ("kilometer", "kilometers")),
    "s": ("second", "seconds", ("sec", "secs")),
    "ms": ("millisecond", "milliseconds", ()),
    "min": ("minute", "minutes", ("mins",)),
    "h": ("hour", "hours", ()),
    "g": ("gram", "grams", ("gramme", "grammes")),
    "kg": ("kilogram", "kilograms", ("kilo", "kilos")),
    "mg": ("milligram", "milligrams", ()),
    "t": ("tonne", "tonnes", ()),
    "lb": ("pound", "pounds", ()),
    "oz": ("ounce", "ounces", ()),
    "lbf": ("pound-force", "pounds-force", ("pound", "pounds")),
    "ft": ("foot", "feet", ()),
    "in": ("inch", "inches", ()),
    "mi": ("mile", "miles", ()),
    "degC": ("degree Celsius", "degrees Celsius", ("degree", "degrees", "celsius", "centigrade")),
    "degF": ("degree Fahrenheit", "degrees Fahrenheit", ("degree", "degrees", "fahrenheit")),
    "K": ("kelvin", "kelvins", ("degrees", "kelvin")),
    "deg": ("degree", "degrees", ()),
    "%": ("percent", "percent", ("per cent", "percentage points")),
    "pp": ("percentage point", "percentage points", ()),
    "Pa": ("pascal", "pascals", ()),
    "kPa": ("kilopascal", "kilopascals", ()),
    "MPa": ("megapascal", "megapascals", ()),
    "bar": ("bar", "bar", ("bars",)),
    "psi": ("pound per square inch", "pounds per square inch", ("psi", "p s i")),
    "J": ("joule", "joules", ()),
    "kJ": ("kilojoule", "kilojoules", ()),
    "Wh": ("watt-hour", "watt-hours", ()),
    "kWh": ("kilowatt-hour", "kilowatt-hours", ()),
    "W": ("watt", "watts", ()),
    "kW": ("kilowatt", "kilowatts", ()),
    "hp": ("horsepower", "horsepower", ()),
    "V": ("volt", "volts", ()),
    "mV": ("millivolt", "millivolts", ()),
    "A": ("ampere", "amperes", ("amp", "amps")),
    "mA": ("milliampere", "milliamperes", ("milliamp", "milliamps")),
    "Ah": ("ampere-hour", "ampere-hours", ("amp hour", "amp hours")),
    "ohm": ("ohm", "ohms", ()),
    "Hz": ("hertz", "hertz", ()),
    "kHz": ("kilohertz", "kilohertz", ()),
    "rpm": ("revolution per minute", "revolutions per minute", ("rpm", "r p m", "revs")),
    "l": ("litre", "litres", ("liter", "liters")),
    "L": ("litre", "litres", ("liter", "liters")),
    "ml": ("millilitre", "millilitres", ("milliliter", "milliliters")),
    "mL": ("millilitre", "millilitres", ("milliliter", "milliliters")),
    "lm": ("lumen", "lumens", ()),
    "lx": ("lux", "lux", ()),
    "dB": ("decibel", "decibels", ()),
    "mph": ("mile per hour", "miles per hour", ("mph", "m p h")),
    "EUR": ("euro", "euros", ()),
    "USD": ("dollar", "dollars", ("bucks",)),
    "CAD": ("dollar", "dollars", ()),
    "AUD": ("dollar", "dollars", ()),
    "NZD": ("dollar", "dollars", ()),
    "GBP": ("pound", "pounds", ("quid",)),
    "JPY": ("yen", "yen", ()),
    "CHF": ("franc", "francs", ()),
    "SEK": ("krona", "kronor", ()),
    "NOK": ("krone", "kroner", ()),
    "DKK": ("krone", "kroner", ()),
    "PLN": ("zloty", "zlotys", ()),
    "INR": ("rupee", "rupees", ()),
    "points": ("point", "points", ()),
}
# Said in another order than written, or in one word.
_WHOLE: dict[str, tuple[str, str, tuple[str, ...]]] = {
    "lbf*ft": ("pound-foot", "pound-feet", ("foot pound", "foot pounds", "pound foot")),
    "lbf*in": ("pound-inch", "pound-inches", ("inch pound", "inch pounds")),
    "km/h": ("kilometre per hour", "kilometres per hour",
             ("kilometers per hour", "kilometer per hour", "kilometres an hour",
              "kilometers an hour", "kph", "k p h")),
}  # fmt: skip
_POWERS = {2: "square {}", 3: "cubic {}"}
# Common on benches, and understood even where a session does not measure in them.
_USUAL = (
    "N*m", "lbf*ft", "lbf*in", "N", "kN", "kg", "g", "lb", "oz", "mm", "cm", "m", "km", "in", "ft",
    "s", "ms", "min", "h", "degC", "degF", "%", "bar", "psi", "kPa", "W", "kW", "hp", "V", "A",
    "mA", "Ah", "Wh", "kWh", "J", "kJ", "Hz", "rpm", "l", "ml", "l/min", "km/h", "mph", "dB",
    "points",
)  # fmt: skip
_APART = re.compile(r"[-\s]+")


def _alike(name: str) -> str:
    """Return the table's name of a unit, whichever way it is written."""
    codes = {sign: code for code, sign in CURRENCIES.items()}
    others = {"percent": "%", "°C": "degC", "°F": "degF", "celsius": "degC", "minute": "min",
              "delta_degC": "degC", "delta_degF": "degF", "Ω": "ohm"}  # fmt: skip
    return others.get(name, codes.get(name, name))


@cache
def _factors(unit: str) -> tuple[Factor, ...]:
    if unit == "points":  # a score's own unit, which no measure has
        return (Factor("points", 1, over=False),)
    return read_factors(unit)


def spoken_unit(unit: str, *, one: bool = False) -> str:
    """Write a unit in words; a part without a name stays a symbol.

    Parameters
    ----------
    unit : str
        As in a session; empty for a plain number.
    one : bool
        For exactly one of it.

    Examples
    --------
    >>> spoken_unit("N*m"), spoken_unit("N*m/EUR"), spoken_unit("s", one=True), spoken_unit("%")
    ('newton metres', 'newton metres per euro', 'second', 'percent')
    """
    return next(iter(_ways(unit, one=one)), "")


@cache
def _ways(unit: str, *, one: bool) -> tuple[str, ...]:
    """Return every way to say a unit, the proper one first."""
    for written, (single, several, others) in _WHOLE.items():
        if [(_alike(f.name), f.power) for f in _factors(unit)] == [
            (f.name, f.power) for f in _factors(written)
        ]:
            return (single if one else several, *others)
    above = [factor for factor in _factors(unit) if not factor.over]
    below = [factor for factor in _factors(unit) if factor.over]
    parts = [_factor_ways(factor, one=one or factor is not above[-1]) for factor in above]
    for place, factor in enumerate(below):
        ways = _factor_ways(factor, one=True)
        joints = ("per", "a", "an") if place == 0 else ("",)
        parts.append([f"{joint} {way}".strip() for joint in joints for way in ways])
    return tuple(dict.fromkeys(" ".join(row) for row in itertools.product(*parts)))


def _factor_ways(factor: Factor, *, one: bool) -> list[str]:
    name = _alike(factor.name)
    if name not in _NAMES:
        return [symbol(factor.name)]
    single, several, others = _NAMES[name]
    first, second = (single, several) if one else (several, single)
    ways = [first, *others, second]
    power = abs(factor.power)
    return [_POWERS[power].format(way) for way in ways] if power in _POWERS else ways


@dataclass(frozen=True, slots=True)
class Lexicon:
    """Which units are meant by words and symbols.

    Parameters
    ----------
    words : dict of (tuple of str) to (tuple of str)
        Words in lower case, hyphens taken apart → units.
    symbols : dict of str to (tuple of str)
        What stands behind a number in figures → units.
    """

    words: dict[tuple[str, ...], tuple[str, ...]]
    symbols: dict[str, tuple[str, ...]]

    def read(self, words: Sequence[str]) -> tuple[int, tuple[str, ...]]:
        """Read the longest unit at the beginning of some words: how many it took, which units."""
        for length in range(min(len(words), 8), 0, -1):
            units = self.words.get(tuple(words[:length]))
            if units is not None:
                return length, units
        return 0, ()


def lexicon(units: Iterable[str]) -> Lexicon:
    """Make the lexicon of some units and of those usual on benches.

    Examples
    --------
    >>> lexicon(["N*m/EUR"]).read("newton meters per euro and".split())
    (4, ('N*m/EUR',))
    """
    words: dict[tuple[str, ...], dict[str, None]] = {}
    symbols: dict[str, dict[str, None]] = {}
    # What the session itself measures in comes first, so that it wins where a word means several.
    for unit in dict.fromkeys([*units, *_USUAL]):
        if not unit:
            continue
        for one in (False, True):
            for way in _ways(unit, one=one):
                key = tuple(_APART.split(way.casefold()))
                words.setdefault(key, {})[unit] = None
        for written in _written(unit):
            symbols.setdefault(written, {})[unit] = None
    return Lexicon(
        {key: tuple(found) for key, found in words.items()},
        {key: tuple(found) for key, found in symbols.items()},
    )


def _written(unit: str) -> set[str]:
    if unit == "points":
        return set()
    sign = symbol(unit)
    without_dots = sign.replace("·", "")
    return {unit, sign, without_dots} - {""}
