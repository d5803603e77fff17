"""Makes logs, sessions and traces to condition."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from overlays.model.run import RunRef
from overlays.model.session import Session, SessionSpec
from overlays.model.trace import Column, Log, Segment, Trace

__all__ = ["REF", "log_of", "session_of", "trace_of"]

REF = RunRef("one", "stop", 1, Path("one.csv"), "one.csv")


def trace_of(time_s: ArrayLike, values: ArrayLike, unit: str = "N") -> Trace:
    """Make a trace of the channel ``force``."""
    time, array = np.array(time_s, dtype=np.float64), np.array(values, dtype=np.float64)
    return Trace("force", unit, time, array)


def log_of(
    time_s: ArrayLike,
    units: Mapping[str, str | None] | None = None,
    rows: Mapping[str, list[int]] | None = None,
    **columns: ArrayLike,
) -> Log:
    """Make a log of the given columns."""
    time = np.array(time_s, dtype=np.float64)
    return Log(
        file="one.csv",
        layout="delimited",
        encoding="utf-8",
        delimiter=",",
        decimal=".",
        header_line=1,
        time_s=time,
        columns=tuple(
            Column(
                name,
                (units or {}).get(name),
                np.array(values, dtype=np.float64),
                name,
                np.array(rows[name]) if rows and name in rows else None,
            )
            for name, values in columns.items()
        ),
        segments=(Segment(2, len(time), float(time[-1] - time[0])),),
        notes=(),
        time=Column("t_s", "s", time),
    )


def session_of(
    test: Mapping[str, Any] | None = None, channel: Mapping[str, Any] | None = None
) -> Session:
    """Make a session of one entry, one test and the channel ``force`` in newtons."""
    spec = SessionSpec.model_validate(
        {
            "episode": {"title": "made", "date": "2026-01-01"},
            "entries": {"one": {"name": "One"}},
            "channels": {
                "force": {"label": "force", "column": "force", "unit": "N", **(channel or {})}
            },
            "tests": {
                "stop": {
                    "label": "stop", "length": "2 s", "channels": ["force"], "main": "peak",
                    **(test or {}),
                }
            },
        }
    )  # fmt: skip
    return Session(Path(), spec, (REF,), {"tests.stop": 12, "tests.stop.filters.force": 20})
