"""A header cell → the column's name and unit, and whether it names the time."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from overlays.logs.unitspelling import measure_alike
from overlays.logs.unitwords import TIME_UNIT, of_temperature, split_unit

__all__ = ["ColumnName", "called", "column_name", "time_word", "without_series"]

_TAIL = re.compile(r"(?P<name>.{0,60}\S)[\s_,]+(?P<word>[^\s_,]{1,10})")
_TIME_WORDS = (
    r"t|ts|time|zeit|tempo|temps|tiempo|tid|tijd|czas|čas|aika|elapsed|timestamp|"
    r"time ?stamp|stamp|zeitstempel|laufzeit|messzeit|horodatage|clock|date|datum|fecha|uhrzeit|"
    r"heure|hora|ora|datetime|date[ /_]?(?:time|heure|hora)|datum[ /_]?(?:uhrzeit|zeit|tid)|epoch|"
    r"unix|millis|micros|seconds|sec|secs|время|дата|時間|時刻|日時|経過時間|时间|日期|시간"
)
_TIME_NAME = re.compile(rf"(?i)(?:.*[\s_])?(?:{_TIME_WORDS})(?:[ _]?\d{{1,2}})?")
_TIME_WORD = re.compile(rf"(?i)(?<![^\W_])(?:{_TIME_WORDS})(?![^\W\d_])")
_ROW_NAME = re.compile(
    r"(?i)(?:(?:sample|scan|row|record|point|measurement|lfd\.?|mess)?[ _]?"
    r"(?:#|no\.?|nr\.?|n|i|idx|index|number|num|nummer|counter|№)|rows?|samples?|scans?|records?|"
    r"messpunkt|punkt|échantillon|muestra|番号|序号|サンプル)"
)


@dataclass(frozen=True, slots=True)
class ColumnName:
    """A header cell, understood.

    Parameters
    ----------
    written : str
        As the file has it, without surrounding spaces.
    name : str
        Without a unit in brackets or behind a stroke.
    unit : str or None
        The unit it states; a time unit in this project's spelling (see `TIME_UNITS`).
    named_time : bool
        Whether the name says time.
    named_row : bool
        Whether the name says row number.
    last_word : bool
        Whether the unit is the last word of the name.
    unsure : bool
        Whether that word could mean something else.
    """

    written: str
    name: str
    unit: str | None
    named_time: bool
    named_row: bool
    last_word: bool = False
    unsure: bool = False


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
    found = split_unit(written)
    bare = _without_time_unit(found.name)
    named_time = bool(_TIME_NAME.fullmatch(found.name) or _TIME_NAME.fullmatch(bare))
    stated = found.unit
    if stated is None and (tail := _TAIL.fullmatch(written)) and _TIME_NAME.fullmatch(tail["name"]):
        stated = TIME_UNIT.get(tail["word"].lower())  # only a time is counted in minutes
    stated = of_temperature(found.name, unit or stated)
    if stated and (named_time or unit is None) and stated.lower() in TIME_UNIT:
        stated = TIME_UNIT[stated.lower()]
    if stated is None and named_time and found.name.lower() in TIME_UNIT:
        stated = TIME_UNIT[found.name.lower()]
    # T is the symbol of a temperature too, and "temps" are French time or English temperatures.
    named_time = named_time and not _is_scale(stated) and (found.name != "T" or stated is not None)
    row = bool(_ROW_NAME.fullmatch(found.name))
    if unit is not None or found.unit is None:
        return ColumnName(written, found.name, stated, named_time, row)
    return ColumnName(
        written,
        found.name,
        stated,
        named_time,
        row,
        found.last_word,
        found.unsure and not named_time,
    )


def without_series(columns: Sequence[ColumnName]) -> tuple[ColumnName, ...]:
    """Take back units that only count columns: ``Current A`` beside ``Current B``.

    Parameters
    ----------
    columns : sequence of ColumnName
        All columns of a file.
    """
    words: dict[str, set[str]] = {}
    for column in columns:
        if match := _TAIL.fullmatch(column.written):
            words.setdefault(match["name"].lower(), set()).add(match["word"])
    return tuple(
        replace(column, unit=None, last_word=False, unsure=False)
        if column.unsure
        and (match := _TAIL.fullmatch(column.written))
        and len(words[match["name"].lower()]) > 1
        else column
        for column in columns
    )


def called(columns: Sequence[ColumnName]) -> list[str]:
    """Give every column a name of its own: ``column 2`` where the file has none.

    Parameters
    ----------
    columns : sequence of ColumnName
        All columns of a file.

    Examples
    --------
    >>> called([column_name("p [bar]"), column_name("p [psi]"), column_name("")])
    ['p [bar]', 'p [psi]', 'column 3']
    """
    count = Counter(column.name for column in columns)
    names: list[str] = []
    for j, column in enumerate(columns):
        name = column.name or f"column {j + 1}"
        if count[column.name] > 1 and column.name:
            name = column.written
        k = 2
        while name in names:
            name = f"{column.written} ({k})"
            k += 1
        names.append(name)
    return names


def time_word(name: str) -> str | None:
    """Return the word of a name that says time, whatever stands around it: ``t`` of ``t_F``."""
    match = _TIME_WORD.search(name)
    return match[0] if match else None


def _is_scale(unit: str | None) -> bool:
    return unit is not None and measure_alike(unit, "K")


def _without_time_unit(name: str) -> str:
    match = _TAIL.fullmatch(name)
    return match["name"] if match and match["word"].lower() in TIME_UNIT else name
