"""What the reader made of one log, as data: for ``log FILE``."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from typing import Any

import numpy as np

from overlays.logs.evenness import neighbour_steps, uneven
from overlays.model.trace import Column, FloatArray, Log, Note

__all__ = ["log_report"]


def log_report(log: Log, *, samples: bool) -> dict[str, Any]:
    """Describe a log.

    Parameters
    ----------
    log : Log
        What was read.
    samples : bool
        Whether to give every sample too.

    Returns
    -------
    dict
        Ready for JSON. Columns stand in the order of the file, the time column among them. Counts
        and statistics are over finite values; a gap is None. Where the time column holds dates,
        its samples are written as ISO 8601.
    """
    columns = list(log.columns)
    stamped = log.time.unit is None
    columns.insert(log.time_place, replace(log.time, unit="s") if stamped else log.time)
    report: dict[str, Any] = {
        "file": log.file,
        "layout": log.layout,
        "encoding": log.encoding,
        "delimiter": log.delimiter,
        "decimal": log.decimal,
        "header_line": log.header_line,
        "columns": [_summary(column) for column in columns],
        "segments": [
            {"first_line": s.first_line, "n": s.n, "seconds": _tidy(s.seconds)}
            for s in log.segments
        ],
        "notes": [{"line": note.line, "message": note.message} for note in _notes(log)],
    }
    if samples:
        listed: dict[str, Any] = {column.name: _values(column.values) for column in columns}
        if log.began is not None and log.time.unit is None:
            listed[log.time.name] = _dates(log)
        listed["elapsed_s"] = [_tidy(float(t)) for t in log.time_s - log.time_s[0]]
        report["samples"] = listed
    return report


def _notes(log: Log) -> Iterator[Note]:
    """Yield the reading note, and how unevenly the samples came: conditioning flags that."""
    yield from log.notes
    if words := uneven(neighbour_steps(log.time_s)):
        yield Note(None, words)


def _summary(column: Column) -> dict[str, Any]:
    finite = column.values[np.isfinite(column.values)]
    there = bool(finite.size)
    return {
        "name": column.name,
        "unit": column.unit,
        "n": int(finite.size),
        "min": float(finite.min()) if there else None,
        "max": float(finite.max()) if there else None,
        "mean": float(finite.mean()) if there else None,
    }


def _values(values: FloatArray) -> list[float | None]:
    return [v if np.isfinite(v) else None for v in values.tolist()]


def _tidy(seconds: float) -> float:
    """Drop the dust of subtracting: no logger's clock is finer than a nanosecond."""
    return round(seconds, 9)


def _dates(log: Log) -> list[str]:
    assert log.began is not None  # noqa: S101 (asked by the caller, for the type checker)
    micros = np.round(1e6 * (log.time_s - log.time_s[0])).astype(np.int64)
    fine = log.began.microsecond % 1000 or (micros % 1000).any()
    spec = "microseconds" if fine else "milliseconds"
    return [
        (log.began + timedelta(microseconds=m)).isoformat(timespec=spec) for m in micros.tolist()
    ]
