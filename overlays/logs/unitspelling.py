"""Units as loggers spell them (in capitals, words, with a gauge's letter) → as they are known."""

from __future__ import annotations

import re
from functools import lru_cache

from overlays.errors import UnitError
from overlays.units import same_dimension

__all__ = ["is_known", "measure_alike", "spelt"]

# Whatever their case, where it is not already that of another unit. Milli and mega look alike in
# small letters, so units with both stand below, and count in capitals only.
_ANY_CASE = {
    "psi": "psi", "psig": "psi", "psia": "psi", "bar": "bar", "barg": "bar", "bara": "bar",
    "mbar": "mbar", "kpa": "kPa", "kpag": "kPa", "kpaa": "kPa", "hpa": "hPa", "pa": "Pa",
    "kn": "kN", "kgf": "kgf", "lbf": "lbf", "lbs": "lbs", "kg": "kg", "rpm": "rpm",
    "u/min": "rpm", "hz": "Hz", "khz": "kHz", "kw": "kW", "kwh": "kWh", "degc": "degC",
    "degf": "degF", "cfm": "cfm", "gpm": "gpm", "lpm": "lpm", "l/min": "l/min", "mph": "mph",
    "km/h": "km/h", "kph": "km/h", "mm": "mm", "cm": "cm", "newton": "N", "newtons": "N",
    "volt": "V", "volts": "V", "amp": "A", "amps": "A", "ampere": "A", "amperes": "A",
    "watts": "W", "ohms": "Ω", "celsius": "degC", "fahrenheit": "degF", "deg c": "degC",
    "deg f": "degF", "deg. c": "degC", "deg. f": "degF", "degrees c": "degC", "degrees f": "degF",
    "degree c": "degC", "° c": "degC", "° f": "degF", "inches": "in", "feet": "ft",
    "in h2o": "inH2O", "in hg": "inHg", "mm hg": "mmHg",
}  # fmt: skip
_CAPITALS = {
    "NM": "N*m", "KNM": "kN*m", "MPA": "MPa", "GPA": "GPa", "LBF-FT": "lbf*ft", "MHZ": "MHz",
    "FT-LBF": "lbf*ft", "IN-LBF": "lbf*in",
}  # fmt: skip
_GAUGE = re.compile(r"(?P<unit>.*\S)\s?\((?:g|a|abs|gauge)\)")
_POWER = re.compile(r"(?<=[A-Za-z])([23])(?![\w.])")


@lru_cache(maxsize=1024)
def spelt(text: str) -> str:
    """Return a unit as it is known; what is none, or is spelt so already, comes back as it is.

    Parameters
    ----------
    text : str
        Without brackets.

    Examples
    --------
    >>> spelt("PSI"), spelt("Volts"), spelt("m/s2"), spelt("bar(g)"), spelt("raw")
    ('psi', 'V', 'm/s^2', 'bar', 'raw')
    """
    plain = match["unit"] if (match := _GAUGE.fullmatch(text)) else text
    worded = _ANY_CASE.get(plain.casefold(), text)
    if is_known(plain) and " " not in plain:
        return plain
    # "deg C" would else be degrees times coulombs.
    tried = (worded, plain, _CAPITALS.get(plain, text), _POWER.sub(r"^\1", plain))
    return next(filter(is_known, tried), text)


@lru_cache(maxsize=1024)
def is_known(text: str) -> bool:
    """Say whether a text is a unit, spelt as it is known."""
    return measure_alike(text, text)


def measure_alike(a: str, b: str) -> bool:
    """Say whether two texts are units of the same quantity; False where one is no unit."""
    try:
        return same_dimension(a, b)
    except UnitError:
        return False
