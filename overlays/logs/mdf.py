"""ASAM MDF measurement files, by asammdf (the extra ``tracereel[mdf]``)."""

from __future__ import annotations

import gc
import sys
import tempfile
import traceback
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from overlays.errors import LogError, TracereelError
from overlays.logs.clock import Clock
from overlays.logs.merge import Group, merge
from overlays.logs.names import ColumnName
from overlays.logs.notes import NoteBook
from overlays.logs.parquet import MOST_VALUES
from overlays.logs.table import Table, log_of
from overlays.logs.timecolumn import TimeColumn
from overlays.model.session import ReadingPins
from overlays.model.trace import FloatArray, Log

__all__ = ["read_mdf"]

_TIME = ColumnName("time", "time", "s", named_time=True, named_row=False)


def read_mdf(path: Path, *, file: str, pins: ReadingPins) -> Log:
    """Read an MDF file: all channel groups, or the one that is pinned.

    Groups with clocks of their own are put onto one time, without interpolation.

    Raises
    ------
    LogError
        If asammdf is not installed, or the file is damaged or holds no numbers over time.
    """
    try:
        from asammdf import MDF
    except ImportError as error:
        raise LogError(
            "reading MDF files needs the package asammdf, which is not installed.",
            code="extra-missing",
            remedy="Install it with: python -m pip install 'tracereel[mdf]'",
            file=file,
        ) from error
    try:
        # What asammdf copies aside of a damaged file it forgets there.
        with (
            tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as aside,
            MDF(path, temporary_folder=aside) as measurement,
        ):
            return _read(measurement, file, pins)
    except TracereelError:
        raise
    # asammdf lets through whatever a damaged block makes it stumble on.
    except Exception as error:  # noqa: BLE001 (told below, without the half-built object)
        found = f"{type(error).__name__}: {str(error)[:120]}"
        _forget(error)
    raise LogError(
        f"the MDF file is damaged: {found}.",
        code="damaged-log",
        remedy="Write it anew, or export it as delimited text.",
        file=file,
    )


def _forget(error: Exception) -> None:
    """Let go of what asammdf had half built, silently.

    Its finaliser fails on a half-built object (asammdf 8.8), which Python would print.
    """
    hook, sys.unraisablehook = sys.unraisablehook, lambda _: None
    try:
        traceback.clear_frames(error.__traceback__)
        error.__traceback__ = None
        gc.collect()
    finally:
        sys.unraisablehook = hook


def _read(measurement: Any, file: str, pins: ReadingPins) -> Log:  # noqa: ANN401 (asammdf has no types)
    notes = NoteBook()
    values = sum(len(g.channels) * int(g.channel_group.cycles_nr) for g in measurement.groups)
    if values > MOST_VALUES:
        raise LogError(
            f"the file declares {values} values.",
            code="log-too-large",
            remedy=f"Keep to the run and the channels that are needed, at most {MOST_VALUES}.",
            file=file,
        )
    groups, names = _groups(measurement, pins, notes, file)
    if not groups:
        raise LogError(
            "the file holds no numeric channels over time.",
            code="no-data-rows",
            remedy="Check what was recorded.",
            file=file,
        )
    if len(groups) == 1:
        time_s, columns = groups[0].time_s, list(groups[0].columns)
        own: list[NDArray[np.int64]] = []
    else:
        time_s, columns, own = merge(groups)
        notes.say(f"{len(groups)} channel groups with clocks of their own; nothing interpolated")
    began = measurement.start_time.replace(tzinfo=None) if measurement.start_time else None
    table = Table(
        layout="mdf",
        columns=[_TIME, *names],
        time=TimeColumn((0,), ""),
        numbers={0: time_s} | dict(enumerate(columns, 1)),
        n=len(time_s),
        line_of=lambda row: row + 1,
        clock=Clock(time_s, "s", began),
        own_rows=dict(enumerate(own, 1)),
    )
    return log_of(table, pins, notes, file=file)


def _groups(
    measurement: Any,  # noqa: ANN401 (asammdf has no types)
    pins: ReadingPins,
    notes: NoteBook,
    file: str,
) -> tuple[list[Group], list[ColumnName]]:
    count = len(measurement.groups)
    if pins.group is not None and pins.group >= count:
        raise LogError(
            f"there is no channel group {pins.group}; the file has {count}, counted from 0.",
            code="no-such-group",
            remedy="Correct group under [reading] in session.toml.",
            file=file,
        )
    groups: list[Group] = []
    names: list[ColumnName] = []
    for index in range(count) if pins.group is None else (pins.group,):
        time_s, columns, found = _group(measurement, index, notes, file)
        if not columns:
            continue
        groups.append(Group(time_s, columns))
        names += found
    if len(groups) > 1 and any((np.diff(group.time_s) <= 0).any() for group in groups):
        raise LogError(
            "the clock of a channel group does not always go forward.",
            code="disordered-time",
            remedy="Pin one group with group = … under [reading] in session.toml.",
            file=file,
        )
    return groups, names


def _group(
    measurement: Any,  # noqa: ANN401 (asammdf has no types)
    index: int,
    notes: NoteBook,
    file: str,
) -> tuple[FloatArray, list[FloatArray], list[ColumnName]]:
    """Return the clock and the numeric channels of one group."""
    master = measurement.masters_db.get(index)
    if master is not None and _is_computed(measurement.groups[index].channels[master].conversion):
        raise LogError(
            f"the clock of channel group {index} is defined by a formula, which is not computed.",
            code="formula-in-log",
            remedy="Export the log with plain times, or pin another group under [reading].",
            file=file,
        )
    time_s = np.zeros(0)
    columns: list[FloatArray] = []
    names: list[ColumnName] = []
    for place, channel in enumerate(measurement.groups[index].channels):
        if place == master:
            continue
        if _is_computed(channel.conversion):
            notes.say(f"channel {channel.name!r} is defined by a formula; not computed, left out")
            continue
        signal = measurement.get(group=index, index=place, ignore_invalidation_bits=True)
        samples = np.asarray(signal.samples)
        if samples.ndim != 1 or samples.dtype.kind not in "fiu" or not len(samples):
            notes.say(f"channel {channel.name!r} holds no single numbers; left out")
            continue
        values = samples.astype(np.float64)
        values[~np.isfinite(values)] = np.nan
        if signal.invalidation_bits is not None:
            values[np.asarray(signal.invalidation_bits, dtype=np.bool_)] = np.nan
        time_s = np.asarray(signal.timestamps, dtype=np.float64)
        columns.append(values)
        unit = signal.unit or None
        names.append(
            ColumnName(channel.name, channel.name, unit, named_time=False, named_row=False)
        )
    return time_s, columns, names


def _is_computed(conversion: Any) -> bool:  # noqa: ANN401 (asammdf has no types)
    """Say whether a conversion, or one it refers to, is a formula: asammdf would evaluate it.

    ASAM MDF 4 has algebraic conversions (type 3), MDF 3 formulas (type 10): text that is computed.
    """
    todo, seen = [conversion], set()
    while todo:
        one = todo.pop()
        if one is None or isinstance(one, bytes) or id(one) in seen:
            continue
        seen.add(id(one))
        if getattr(one, "formula", None):
            return True
        todo += list((getattr(one, "referenced_blocks", None) or {}).values())
    return False
