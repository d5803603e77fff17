"""A header cell → the column's name and unit, and whether it names the time."""

from __future__ import annotations

import re
from dataclasses import dataclass

from overlays.errors import UnitError
from overlays.units import same_dimension

__all__ = ["TIME_UNITS", "ColumnName", "column_name", "is_time_unit", "is_unit", "unit_text"]

TIME_UNITS = {
    "s": ("s", "sec", "secs", "second", "seconds", "sek", "sekunden"),
    "ms": ("ms", "msec", "millis", "millisecond", "milliseconds", "millisekunden"),
    "us": ("us", "µs", "μs", "usec", "micros", "microsecond", "microseconds"),
    "ns": ("ns", "nsec", "nanos", "nanosecond", "nanoseconds"),
    "min": ("min", "mins", "minute", "minutes", "minuten"),
    "h": ("h", "hr", "hrs", "hour", "hours", "std", "stunden"),
    "day": ("d", "day", "days", "tage"),
}
"""The units of a time column, and how headers write them."""

_TIME_UNIT = {word: unit for unit, words in TIME_UNITS.items() for word in words}
_BRACKETS = re.compile(
    r"(?P<name>[^\[\](){}]*[^\[\](){}\s])?\s*[\[({](?P<unit>[^\[\](){}]{0,24})[\])}]\s*"
)
_SLASH = re.compile(r"(?P<name>[^/]{0,60}\S)\s+(?:/|in)\s*(?P<unit>\S{1,16})")
_TAIL = re.compile(r"(?P<name>.{0,60}\S)(?P<join>[\s_,]+)(?P<unit>[^\s_,]{1,10})")
# A suffix counts as a unit only where it can hardly mean anything else: "_c" after a temperature
# does, "_n" or "_nm" may be anything.
_SUFFIXES = {
    "°c": "degC", "degc": "degC", "°f": "degF", "degf": "degF", "kpa": "kPa", "hpa": "hPa",
    "pa": "Pa", "bar": "bar", "mbar": "mbar", "psi": "psi", "rpm": "rpm", "mm": "mm", "kg": "kg",
    "hz": "Hz", "khz": "kHz", "kn": "kN", "mv": "mV", "ma": "mA", "l/min": "l/min", "%": "%",
    "n·m": "N·m", "n*m": "N*m", "lbf": "lbf", "°": "deg",
}  # fmt: skip
_TIME_NAME = re.compile(
    r"(?i)(?:.*[\s_])?(?:t|time|zeit|tempo|temps|tiempo|elapsed|timestamp|time ?stamp|stamp|"
    r"clock|date|datum|uhrzeit|datetime|date[ /_]?time|epoch|unix|millis|micros|seconds|sec|secs)"
    r"(?:[ _]?\d{1,2})?"
)
_COUNTS = ("s", "ms", "us", "ns")
_ROW_NAME = re.compile(r"(?i)(?:#|no\.?|nr\.?|n|i|idx|index|row|sample|samples|sample ?no\.?|scan)")


@dataclass(frozen=True, slots=True)
class ColumnName:
    """A header cell, understood.

    Parameters
    ----------
    written : str
        As the file has it, without surrounding spaces.
    name : str
        Without a unit in brackets.
    unit : str or None
        The unit it states; a time unit in this project's spelling (see `TIME_UNITS`).
    named_time : bool
        Whether the name says time.
    named_row : bool
        Whether the name says row number.
    """

    written: str
    name: str
    unit: str | None
    named_time: bool
    named_row: bool


def is_time_unit(text: str) -> bool:
    """Say whether a text is a unit of time, with or without brackets."""
    return (unit_text(text) or "").lower() in _TIME_UNIT


def is_unit(text: str) -> bool:
    """Say whether a text is a unit that is known; an empty one is not."""
    text = text.strip().strip("[](){}").strip()
    if not text:
        return False
    if text.lower() in _TIME_UNIT or text.lower() in _SUFFIXES or text in {"-", "1"}:
        return True
    try:
        return same_dimension(text, text)
    except UnitError:
        return False


def unit_text(text: str) -> str | None:
    """Take a unit out of a unit row's cell, or of a header's brackets."""
    return text.strip().strip("[](){}").strip() or None


def column_name(cell: str, *, unit: str | None = None) -> ColumnName:
    """Understand a header cell.

    Parameters
    ----------
    cell : str
        As the file has it.
    unit : str, optional
        What the unit row says; it goes before what the cell itself says.

    Examples
    --------
    >>> column_name("Torque [N·m]").unit, column_name("t_ms").unit, column_name("Temp °C").name
    ('N·m', 'ms', 'Temp °C')
    """
    written = " ".join(cell.split()).strip("\N{ZERO WIDTH NO-BREAK SPACE}\"' ")
    name, stated = _split(written)
    bare = _without_tail(name)
    named_time = bool(_TIME_NAME.fullmatch(name) or _TIME_NAME.fullmatch(bare))
    stated = unit or stated
    if stated and (named_time or unit is None) and stated.lower() in _TIME_UNIT:
        stated = _TIME_UNIT[stated.lower()]
    if stated is None and named_time and name.lower() in _TIME_UNIT:
        stated = _TIME_UNIT[name.lower()]
    return ColumnName(written, name, stated, named_time, bool(_ROW_NAME.fullmatch(name)))


def _split(written: str) -> tuple[str, str | None]:
    """Split off a unit; only one in brackets, or behind "/" or "in", leaves the name."""
    match = _BRACKETS.fullmatch(written)
    if match and match["name"] and ("[" in written or is_unit(match["unit"])):
        return match["name"].strip(), unit_text(match["unit"])
    match = _SLASH.fullmatch(written)
    if match and is_unit(match["unit"]):
        return match["name"].strip(), match["unit"]
    match = _TAIL.fullmatch(written)
    if match is None:
        return written, None
    tail = match["unit"]
    unit = _TIME_UNIT.get(tail.lower())
    # "temp_min" is a minimum and "force_std" a deviation; only a time is counted in minutes.
    if unit and (unit in _COUNTS or _TIME_NAME.fullmatch(match["name"])):
        return written, unit
    if tail.lower() == "c" and match["name"].lower().startswith(("temp", "t_", "t ")):
        return written, "degC"
    return written, _SUFFIXES.get(tail.lower())


def _without_tail(name: str) -> str:
    match = _TAIL.fullmatch(name)
    return match["name"] if match and match["unit"].lower() in _TIME_UNIT else name
