"""A numeric time column → seconds: its unit, spreadsheet days, seconds since 1970."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from overlays.errors import LogError
from overlays.logs.names import ColumnName
from overlays.logs.notes import NoteBook
from overlays.model.session import ReadingPins
from overlays.model.trace import FloatArray

__all__ = ["Clock", "counted_time", "numeric_time"]

# Multiplied or divided by whole numbers: 0.001 is not one in binary, 1000 is.
_PER_SECOND = {"s": 1, "ms": 10**3, "us": 10**6, "ns": 10**9}
_SECONDS = {"min": 60, "h": 3600, "day": 86400}
_SERIAL_ZERO = datetime(1899, 12, 30)  # noqa: DTZ001 (a spreadsheet knows no zone)
_FROM_S, _TO_S = 9.4e8, 4.2e9
"""Seconds since 1970, from 1999 to 2103: time counted from a start is never so long."""
_EPOCH_NAME = re.compile(r"(?i)epoch|unix|posix")
_SURE_ROWS = 3
_TINY = 0.002
_FAST_S = 0.02
_DAY_NUMBERS = (700_000.0, 3_000_000.0)
"""Days counted from the year 0 or from 4713 BC: such large seconds have no steps of hundredths."""
_SERIALS = (20000.0, 80000.0)
_ASKED_STEP, _ASKED_SPAN = 5, 600
"""Whole numbers without a unit are asked about where they go up by so much, or on for so long: a
second's steps through ten minutes are as likely a thousand a second through less than one."""
_DATE_NAME = re.compile(r"(?i)date|datum")


@dataclass(frozen=True, slots=True, eq=False)
class Clock:
    """A time column, understood.

    Parameters
    ----------
    time_s : ndarray of shape (N,)
        Seconds, as the file counts them.
    unit : str or None
        Unit of the column as written; None where it holds stamps.
    began : datetime or None
        Date and time of the first row, where the file tells.
    """

    time_s: FloatArray
    unit: str | None
    began: datetime | None


def numeric_time(
    values: FloatArray,
    column: ColumnName,
    pins: ReadingPins,
    notes: NoteBook,
    *,
    rate_hz: float | None,
    file: str,
    line: int | None,
) -> Clock:
    """Convert a numeric time column.

    Parameters
    ----------
    values : ndarray of shape (N,)
        As written.
    column : ColumnName
        Its name and the unit it states.
    pins : ReadingPins
        ``time_unit`` and ``time_kind`` are heeded.
    notes : NoteBook
        Told what was assumed.
    rate_hz : float or None
        A rate that the preamble states.
    file, line
        For messages.

    Raises
    ------
    LogError
        If the numbers can be two things, such as seconds or milliseconds.
    """
    unit = pins.time_unit or column.unit
    kind = pins.time_kind or (_kind_with(values, unit) if unit else _kind(values, column))
    if kind == "serial day":
        return _serial(values, notes, line)
    if kind == "share of a day":
        return _share_of_day(values, notes, line)
    if kind == "since 1970":
        return _since_1970(values, unit, notes, line)
    if kind == "unclear":
        raise _asks(column, file, line, "days of a spreadsheet", 'time_kind = "serial day"')
    if kind == "days":
        raise _asks(column, file, line, "days", 'time_unit = "s" or time_unit = "day"')
    if unit is None:
        unit = _assumed_unit(values, column, rate_hz, notes, file=file, line=line)
    if unit not in _PER_SECOND and unit not in _SECONDS:
        raise LogError(
            f"the time column {column.written!r} is in {unit!r}, which is no unit of time.",
            code="bad-time-unit",
            remedy='Give the unit with time_unit = "s" (or ms, us, ns, min, h, day) under '
            "[reading] in session.toml.",
            file=file,
            line=line,
        )
    per = _PER_SECOND.get(unit)
    if per == 1:
        return Clock(values, unit, None)
    return Clock(values / per if per else values * _SECONDS[unit], unit, None)


def counted_time(n: int, rate_hz: float, notes: NoteBook, *, source: str) -> Clock:
    """Make the time of `n` rows that a logger wrote at an even rate."""
    notes.say(f"no time column; rows counted at {rate_hz:g} a second, {source}")
    return Clock(np.arange(n) / rate_hz, "s", None)


def _kind(values: FloatArray, column: ColumnName) -> str:
    """Tell seconds from spreadsheet days and from seconds since 1970, by size and steps."""
    low, high = float(values.min()), float(values.max())
    whole = bool((values == np.floor(values)).all())
    kind = "elapsed"
    if low > 0 and high < 1 and len(values) >= _SURE_ROWS and _are_shares(values):
        kind = "share of a day"
    elif _SERIALS[0] <= low and high <= _SERIALS[1]:
        if _DATE_NAME.search(column.name) or (not whole and _are_days(values)):
            kind = "serial day"
        elif not whole and (_are_short(values).all() or _least_step(values) < _FAST_S):
            kind = "unclear"
    elif _DAY_NUMBERS[0] <= low and high <= _DAY_NUMBERS[1] and _least_step(values) < _FAST_S:
        kind = "days"
    elif low >= _FROM_S:
        named = bool(_EPOCH_NAME.search(column.name))
        since = named or low >= 1000 * _FROM_S or (high <= _TO_S and not whole)
        kind = "since 1970" if since else kind
    return kind


def _kind_with(values: FloatArray, unit: str) -> str:
    """Tell elapsed time from time since 1970 where the unit is stated: by size, decades apart."""
    per = _PER_SECOND.get(unit)
    if per is None:
        return "elapsed"
    since = float(values.min()) >= _FROM_S * per and float(values.max()) <= _TO_S * per
    return "since 1970" if since else "elapsed"


def _are_days(values: FloatArray) -> bool:
    """Say whether numbers are whole milliseconds once multiplied out from days.

    Spreadsheets cut them at ten decimals or so; seconds have few decimals, and multiplied by 86400
    they are whole too.
    """
    millis = values * 86_400_000.0
    whole = np.abs(millis - np.round(millis)) < 0.02
    fractions = values != np.floor(values)
    return bool(whole.all() and not _are_short(values)[fractions].all())


def _are_shares(values: FloatArray) -> bool:
    """Say whether numbers below 1 are times of day rather than seconds: by their tiny steps.

    Sixtieths of a second make whole milliseconds of a day too, so that alone does not tell.
    """
    return _least_step(values) < _TINY and _are_days(values)


def _least_step(values: FloatArray) -> float:
    """Return the median step between values that differ; infinite where none do."""
    steps = np.abs(np.diff(values))
    return float(np.median(steps[steps > 0])) if (steps > 0).any() else np.inf


def _are_short(values: FloatArray) -> NDArray[np.bool_]:
    return np.asarray(np.abs(values * 1000 - np.round(values * 1000)) < 1e-6)


def _serial(values: FloatArray, notes: NoteBook, line: int | None) -> Clock:
    notes.say("time read as spreadsheet days, rounded to the millisecond", line=line)
    millis = np.round(values * 86_400_000.0)
    began = _SERIAL_ZERO + timedelta(milliseconds=float(millis[0]))
    return Clock((millis - millis[0]) / 1000.0, None, began)


def _share_of_day(values: FloatArray, notes: NoteBook, line: int | None) -> Clock:
    """Read times of day as a spreadsheet stores them; past midnight they begin again at 0."""
    passed = np.concatenate(([0], np.cumsum(np.diff(values) < -0.5)))
    over = f"; passes midnight {int(passed[-1])} times, counted on" if passed[-1] > 1 else ""
    over = "; passes midnight once, counted on" if passed[-1] == 1 else over
    said = f"time read as shares of a day, as spreadsheets keep times of day{over}"
    notes.say(said, line=line)
    millis = np.round((values + passed) * 86_400_000.0)
    return Clock((millis - millis[0]) / 1000.0, None, None)


def _since_1970(values: FloatArray, unit: str | None, notes: NoteBook, line: int | None) -> Clock:
    size = float(np.abs(values).max())
    if unit is None:
        unit = "s" if size < 9.4e11 else "ms" if size < 9.4e14 else "us" if size < 9.4e17 else "ns"
    notes.say(f"time read as {unit} since 1970", line=line)
    per = _PER_SECOND.get(unit, 1)
    began = datetime.fromtimestamp(float(values[0]) / per, UTC).replace(tzinfo=None)
    elapsed = (values - values[0]) / per
    if per == 1 and (values != np.floor(values)).any():
        # So far from 1970 a double is only good to a quarter of a microsecond.
        elapsed = np.round(elapsed, 6)
    return Clock(elapsed, unit, began)


def _assumed_unit(
    values: FloatArray,
    column: ColumnName,
    rate_hz: float | None,
    notes: NoteBook,
    *,
    file: str,
    line: int | None,
) -> str:
    """Conclude the unit of a time column that states none."""
    steps = np.diff(values)
    step = float(np.median(steps[steps > 0])) if (steps > 0).any() else 0.0
    if rate_hz and step:
        for unit, per in _PER_SECOND.items():
            if abs(step * rate_hz / per - 1.0) < 0.02:
                notes.say(f"time taken as {unit}, which fits the stated {rate_hz:g} Hz", line=line)
                return unit
        notes.say(f"the steps of the time do not fit the stated {rate_hz:g} Hz", line=line)
    coarse = step >= _ASKED_STEP or values.max() - values.min() >= _ASKED_SPAN
    if coarse and (values == np.floor(values)).all():
        raise _asks(column, file, line, "milliseconds", 'time_unit = "s" or time_unit = "ms"')
    notes.say("time taken as seconds: no unit is stated", line=line)
    return "s"


def _asks(column: ColumnName, file: str, line: int | None, other: str, pin: str) -> LogError:
    return LogError(
        f"the time column{f' {column.written!r}' if column.written else ''} states no unit; it may "
        f"hold seconds or {other}.",
        code="unclear-time-unit",
        remedy=f"Say which with {pin} under [reading] in session.toml.",
        file=file,
        line=line,
    )
