"""Units as headers write them: in brackets, behind a stroke, or as the last word of a name."""

from __future__ import annotations

import math
import re
import unicodedata
from dataclasses import dataclass

from overlays.logs.unitspelling import is_known, measure_alike, spelt
from overlays.units import convert, same_dimension

__all__ = [
    "TIME_UNIT",
    "TIME_UNITS",
    "NamedUnit",
    "are_one_unit",
    "is_time_unit",
    "is_unit",
    "of_temperature",
    "split_unit",
    "unit_text",
]

TIME_UNITS = {
    "s": ("s", "sec", "secs", "second", "seconds", "sek", "sekunden", "秒", "с", "сек"),
    "ms": (
        "ms",
        "msec",
        "millis",
        "millisecond",
        "milliseconds",
        "millisekunden",
        "ミリ秒",
        "毫秒",
        "мс",
    ),
    "us": ("us", "µs", "μs", "usec", "micros", "microsecond", "microseconds"),
    "ns": ("ns", "nsec", "nanos", "nanosecond", "nanoseconds"),
    "min": ("min", "mins", "minute", "minutes", "minuten", "分", "мин"),
    "h": ("h", "hr", "hrs", "hour", "hours", "std", "stunden"),
    "day": ("d", "day", "days", "tage"),
}
"""The units of a time column, and how headers write them."""
TIME_UNIT = {word: unit for unit, words in TIME_UNITS.items() for word in words}
"""The unit that each of those words means."""

_COUNTS = ("s", "ms", "us", "ns")
_OPENING = frozenset("[({")
_BRACKETS = re.compile(
    r"(?P<name>[^\[\](){}]*[^\[\](){}\s])?\s*"
    r"[\[({](?P<unit>[^\[\](){}]{0,24}(?:\([^\[\](){}]{0,8}\))?)[\])}]\s*"
)
_STROKE = re.compile(r"(?P<name>[^/]{0,60}\S)\s+(?:/|in)\s*(?P<unit>\S{1,16})")
# The quotient of a quantity and its unit, as in t/s (SI Brochure, 9th ed., 5.4.1).
_QUOTIENT = re.compile(r"(?P<name>[^\W\d_][^/\[\](){}]{0,60})/(?P<unit>[^/\s]{1,10})")
_TAIL = re.compile(r"(?P<name>.{0,60}\S)(?P<join>[\s_,]+)(?P<unit>[^\s_,]{1,10})")
# A last word counts as a unit only where it can hardly mean anything else, whatever its case ...
_SUFFIXES = {
    "°c": "degC", "degc": "degC", "°f": "degF", "degf": "degF", "kpa": "kPa", "hpa": "hPa",
    "pa": "Pa", "bar": "bar", "mbar": "mbar", "psi": "psi", "rpm": "rpm", "mm": "mm", "kg": "kg",
    "hz": "Hz", "khz": "kHz", "kn": "kN", "mv": "mV", "ma": "mA", "l/min": "l/min", "%": "%",
    "n·m": "N·m", "n*m": "N*m", "lbf": "lbf", "°": "deg", "u/min": "rpm", "1/min": "1/min",
}  # fmt: skip
# ... or as it is written,
_SYMBOLS = frozenset((
    "µN", "mN", "daN", "Nm", "Nmm", "Ncm", "mNm", "kNm", "kgf", "MPa", "GPa", "mmHg", "µV", "kV",
    "µA", "mW", "kW", "MW", "Wh", "kWh", "Ah", "mAh", "kJ", "MJ", "MHz", "GHz", "m/s", "m/s²",
    "m/s^2", "km/h", "mph", "ml/min", "mL/min", "L/min", "l/s", "ml/s", "l/h", "m³/h", "kg/h",
    "kg/s", "g/s", "µm", "cm", "km", "mg", "Ω", "mΩ", "kΩ", "MΩ", "°/s", "rad/s", "lx", "dB", "ppm",
))  # fmt: skip
# ... or where the name says the quantity: a letter alone may also count channels, phases or axes.
_QUANTITIES = {
    "N": "kraft force fuerza forza força thrust schub 荷重",
    "N*m": "torque moment couple coppia トルク",
    "V": "volt spannung spänning 電圧",
    "A": "current strom ström courant corriente corrente 電流",
    "W": "power leistung puissance potencia potenza effekt 電力",
    "J": "energy energie energía energia energi",
    "Pa": "press druck tryck presión 圧力",
    "kg": "mass masse masa weight gewicht poids peso vikt 質量",
    "m": "length distance displacement stroke travel position height depth weg länge abstand höhe "
    "longitud distancia längd avstånd hauteur 変位",
    "degC": "temp temperatur temperature température temperatura 温度",
}
_FORMULA = {"F": "N", "M": "N*m", "U": "V", "I": "A", "P": "W", "T": "degC"}
_OF_TEMPERATURE = {"c": "degC", "f": "degF", "k": "K"}
_LOWER = {
    "n": "N", "nm": "N*m", "knm": "kN*m", "v": "V", "kv": "kV", "a": "A", "w": "W", "kw": "kW",
    "j": "J", "kj": "kJ", "wh": "Wh", "kwh": "kWh",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class NamedUnit:
    """A header cell taken apart.

    Parameters
    ----------
    name : str
        Without a unit in brackets or behind a stroke; with one that is its last word.
    unit : str or None
        The unit.
    last_word : bool
        Whether the unit is the last word of the name.
    unsure : bool
        Whether that word could mean something else.
    """

    name: str
    unit: str | None = None
    last_word: bool = False
    unsure: bool = False


def of_temperature(name: str, unit: str | None) -> str | None:
    """Return a scale where the C or F behind the name of a temperature is meant for one.

    Alone, they are coulomb and farad.
    """
    if unit not in {"C", "F"}:
        return unit
    words = re.findall(r"[^\W\d_]+", name.lower())
    if (name[:1] == "T" and words[:1] == ["t"]) or _says(words, _QUANTITIES["degC"]):
        return _OF_TEMPERATURE[unit.lower()]
    return unit


def is_time_unit(text: str) -> bool:
    """Say whether a text is a unit of time, with or without brackets."""
    return (unit_text(text) or "").lower() in TIME_UNIT


def is_unit(text: str) -> bool:
    """Say whether a text is a unit that is known; an empty one is not."""
    text = unit_text(text) or ""
    if not text:
        return False
    if text.lower() in TIME_UNIT or text.lower() in _SUFFIXES or text in {"-", "1"}:
        return True
    return is_known(text)


def are_one_unit(a: str, b: str) -> bool:
    """Say whether two texts are the same unit, or one of them is none that is known."""
    if a == b or not (is_known(a) and is_known(b)):
        return True
    alike = same_dimension(a, b)
    return alike and all(math.isclose(convert(one, a, b), one) for one in (1.0, 2.0))


def unit_text(text: str) -> str | None:
    """Take a unit out of a unit row's cell, or of a header's brackets, spelt as it is known."""
    inside = _narrow(text).strip()
    if inside[:1] in _OPENING or not _OPENING.intersection(inside):  # not the brackets of bar(g)
        inside = inside.strip("[](){}").strip()
    return spelt(inside) or None


def split_unit(written: str) -> NamedUnit:
    """Take a header cell apart.

    Parameters
    ----------
    written : str
        Without surrounding spaces.

    Examples
    --------
    >>> split_unit("Kraft [µN]").unit, split_unit("Torque Nm").unit, split_unit("Channel A").unit
    ('µN', 'Nm', None)
    """
    narrow = _narrow(written)
    match = _BRACKETS.fullmatch(narrow)
    if match and match["name"] and ("[" in narrow or is_unit(match["unit"])):
        return NamedUnit(match["name"].strip(), unit_text(match["unit"]))
    match = _STROKE.fullmatch(narrow)
    if match and is_unit(match["unit"]):
        return NamedUnit(match["name"].strip(), match["unit"])
    match = _TAIL.fullmatch(narrow)
    found = _with_tail(written, match["name"], match["unit"]) if match else NamedUnit(written)
    match = None if found.unit else _QUOTIENT.fullmatch(narrow)
    if match and is_unit(match["unit"]):
        timed = match["name"].lower() == "t" and is_time_unit(match["unit"])
        if timed or not is_unit(narrow):
            return NamedUnit(match["name"].strip(), match["unit"])
    return found


def _with_tail(written: str, name: str, tail: str) -> NamedUnit:
    """Take the last word for a unit, where it is one."""
    low, words = tail.lower(), re.findall(r"[^\W\d_]+", name.lower())
    unit = TIME_UNIT.get(low)
    if unit in _COUNTS and tail == low:
        return NamedUnit(written, unit, last_word=True)
    if low == "c" and name.lower().startswith(("temp", "t_", "t ")):
        return NamedUnit(written, "degC", last_word=True)
    if known := _SUFFIXES.get(low) or (tail if tail.replace("μ", "µ") in _SYMBOLS else None):
        return NamedUnit(written, known, last_word=True)
    quantity = next((key for key, stems in _QUANTITIES.items() if _says(words, stems)), None)
    quantity = quantity or _FORMULA.get(name)
    if quantity is None:
        return NamedUnit(written)
    if quantity == "degC":
        unit = _OF_TEMPERATURE.get(low)
    elif measure_alike(tail, quantity):
        unit = tail
    else:
        unit = _LOWER.get(tail) if written.islower() else None
        unit = unit if unit and measure_alike(unit, quantity) else None
    return NamedUnit(written, unit, unit is not None, unit is not None)


def _says(words: list[str], stems: str) -> bool:
    """Say whether a word begins or ends in one of the stems: compounds end in what they are."""
    return any(
        word.startswith(stem) or word.endswith(stem) for word in words for stem in stems.split()
    )


def _narrow(text: str) -> str:
    """Write full-width signs and unit symbols of East Asian fonts as others do: ``（℃）``, ``㎜``.

    NFKC would also write ² as 2 and µ as μ.
    """
    if text.isascii():
        return text
    return "".join(
        unicodedata.normalize("NFKC", sign)
        if "\uff01" <= sign <= "\uff5e" or "\u3300" <= sign <= "\u33ff" or sign in "℃℉Ω\u2126\u212a"
        else sign
        for sign in text
    )
