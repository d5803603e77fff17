"""A log's column → a channel's trace: the right column, its blanks understood, in its unit."""

from __future__ import annotations

import difflib
import json

import numpy as np

from overlays.errors import LogError, UnitError
from overlays.model.session import ChannelSpec
from overlays.model.trace import Column, FloatArray, Log, Trace
from overlays.units import convert_array, same_dimension, symbol

__all__ = ["channel_trace"]

# What headers say in a unit's place of numbers that have none.
_NO_UNITS = frozenset(
    ("-", "--", "1", "raw", "counts", "cnt", "adc", "digits", "digit", "none", "n/a")
)


def channel_trace(log: Log, key: str, spec: ChannelSpec) -> Trace:
    """Take a channel out of a log, in the unit in which it is shown.

    Where the file itself states a unit, the file is believed: it was written by what measured.
    A stated unit of another dimension than the declared one is an error, for one of the two is
    about another quantity.

    Parameters
    ----------
    log : Log
        What was read.
    key : str
        The channel's key in the session.
    spec : ChannelSpec
        Its table.

    Raises
    ------
    LogError
        If the log has no such column, the column is empty, or its unit contradicts the declared
        one.
    UnitError
        If the declared units are unknown or of different dimensions.
    """
    column = _column(log, key, spec)
    unit, steps, flags = _unit(log, column, key, spec)
    time_s, values, more = _blanks(log.time_s, column, spec)
    values = _without_missing(values, unit, spec)
    if not np.isfinite(values).any():
        raise LogError(
            f"column {column.name!r} has no values.",
            code="empty-column",
            remedy="Check the sensor and the cable, or leave the run out.",
            file=log.file,
            line=log.header_line,
        )
    converted = np.asarray(convert_array(values, unit, spec.shown_unit))
    return Trace(key, spec.shown_unit, time_s, converted, (*steps, *more), flags)


def _column(log: Log, key: str, spec: ChannelSpec) -> Column:
    for column in log.columns:
        if spec.column in {column.name, column.written}:
            return column
    names = [column.name for column in log.columns]
    near = difflib.get_close_matches(spec.column, names, n=1)
    hint = f"Did you mean {near[0]!r}? " if near else ""
    raise LogError(
        f"there is no column {spec.column!r} with numbers in this log; it has "
        f"{', '.join(map(repr, names))}.",
        code="no-such-column",
        remedy=f"{hint}Put the name of the column into channels.{key}.column.",
        file=log.file,
        line=log.header_line,
    )


def _unit(
    log: Log, column: Column, key: str, spec: ChannelSpec
) -> tuple[str, tuple[str, ...], tuple[str, ...]]:
    """Decide in which unit the column was logged; return it with steps and flags."""
    if column.unit is None or column.unit == spec.unit:
        return spec.unit, (), ()
    try:
        same = same_dimension(column.unit, spec.unit)
    except UnitError:
        same_dimension(spec.unit, spec.unit)  # raises if it is the session's unit that is unknown
        return spec.unit, (), _unknown(column.name, column.unit, spec.unit)
    if not same and column.unsure:
        return spec.unit, (), ()  # its last word is no unit after all
    if not same:
        raise LogError(
            f"column {column.name!r} is in {column.unit!r} by this log, but the session says "
            f"{spec.unit!r}, which measures something else.",
            code="unit-clash",
            remedy=f"Correct channels.{key}.unit, name another column, or where the log is wrong "
            f"say {_pin(column.name, spec.unit)} under [reading] in session.toml.",
            file=log.file,
            line=log.header_line,
        )
    one = np.array([1.0, 2.0])
    if np.allclose(convert_array(one, column.unit, spec.unit), one, rtol=1e-12, atol=0.0):
        return spec.unit, (), ()
    if column.unsure:
        raise LogError(
            f"column {column.name!r} seems to be in {column.unit!r} by its last word, but the "
            f"session says {spec.unit!r}.",
            code="unclear-unit",
            remedy="Say which it is under [reading] in session.toml: "
            f"{_pin(column.name, column.unit)} or {_pin(column.name, spec.unit)}.",
            file=log.file,
            line=log.header_line,
        )
    return column.unit, (f"logged in {column.unit}",), ()


def _unknown(column: str, unit: str, declared: str) -> tuple[str, ...]:
    """Flag a text in a unit's place that is none: it may be a unit of another size."""
    if unit.casefold() in _NO_UNITS:
        return ()
    taken = symbol(declared) or "a plain number"
    pin = f"{_pin(column, declared)} under [reading] in session.toml says so"
    return (f"the log gives {unit!r} as its unit, which is not known; taken as {taken} ({pin})",)


def _pin(column: str, unit: str) -> str:
    quoted = [json.dumps(text, ensure_ascii=False) for text in (column, unit)]
    return f"units = {{ {quoted[0]} = {quoted[1]} }}"


def _blanks(
    time_s: FloatArray, column: Column, spec: ChannelSpec
) -> tuple[FloatArray, FloatArray, tuple[str, ...]]:
    """Give a slower channel its own samples; what blanks mean is declared, or told by the log."""
    values, rows = column.values, column.rows
    if spec.blanks == "gaps" or (spec.blanks == "auto" and rows is None):
        return time_s, values, ()
    own = np.flatnonzero(~np.isnan(values)) if rows is None else rows
    if spec.blanks == "hold":
        # Each row shows the sample before it; before the first one there is nothing.
        last = np.searchsorted(own, np.arange(len(values)), side="right") - 1
        held = np.where(last >= 0, values[own[np.maximum(last, 0)]], np.nan) if len(own) else values
        return time_s, np.asarray(held), ("held between samples",)
    return time_s[own], values[own], ()


def _without_missing(values: FloatArray, unit: str, spec: ChannelSpec) -> FloatArray:
    """Make gaps of the values that the session declares to mean nothing."""
    for quantity in spec.missing:
        value = quantity.to(unit)
        values = np.where(np.isclose(values, value, rtol=1e-9, atol=0.0), np.nan, values)
    return values
