"""Builds sessions and runs in memory for the tests of scoring."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping, Sequence
from datetime import date
from decimal import Decimal
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike
from pydantic import TypeAdapter

from overlays.errors import Problems
from overlays.model.figurespec import AnyFigure, TraceFigure
from overlays.model.result import Results
from overlays.model.run import Run, RunRef
from overlays.model.session import Session, SessionSpec
from overlays.model.trace import Trace
from overlays.scoring.ledger import LedgerRow
from overlays.scoring.results import results_of_runs
from overlays.scoring.takes.registry import take
from overlays.scoring.takes.view import View
from overlays.session.toml_lines import key_lines

__all__ = [
    "flat_run",
    "is_close",
    "ledger_row",
    "results",
    "run",
    "seconds",
    "session",
    "taken",
    "trace",
]

# Built once: making it takes longer than any test here.
_FIGURES: TypeAdapter[AnyFigure] = TypeAdapter(AnyFigure)

TOML = """\
[episode]
title = "Two clamps"
number = 3
date = 2026-02-03
rate = "25"

[entries.ash]
name = "Ash"
attributes = { price = "10.00 EUR", claimed = "90 N" }

[entries.birch]
name = "Birch"
attributes = { price = "20.00 EUR", claimed = "110 N" }

[channels.force]
label = "force"
column = "F"
unit = "N"

[tests.hold]
label = "Hold"
length = "4 s"
repeats = 3
channels = ["force"]
main = "held"

[tests.pull]
label = "Pull"
length = "4 s"
repeats = 1
channels = ["force"]
main = "pulled"

[figures.held]
label = "held"
take = "mean"
test = "hold"

[figures.pulled]
label = "pulled"
take = "peak"
test = "pull"

"""


def session(more: str = "", *, toml: str = TOML) -> Session:
    """Return a session of two entries and two tests, with more tables added."""
    text = toml + more
    spec = SessionSpec.model_validate(tomllib.loads(text))
    return Session(Path(), spec, (), key_lines(text))


def trace(
    values: ArrayLike,
    *,
    time_s: ArrayLike | None = None,
    unit: str = "N",
    channel: str = "force",
) -> Trace:
    """Return a trace, sampled once a second unless told otherwise."""
    array = np.array(values, dtype=float)
    times = np.arange(len(array), dtype=float) if time_s is None else np.array(time_s, dtype=float)
    return Trace(channel, unit, times, array)


def run(entry: str, test: str, repeat: int, *traces: Trace) -> Run:
    """Return a conditioned run of the traces given."""
    file = f"logs/{entry}_{test}_{repeat}.csv"
    ref = RunRef(entry, test, repeat, Path(file), file)
    return Run(ref, {one.channel: one for one in traces})


def flat_run(entry: str, test: str, repeat: int, value: float) -> Run:
    """Return a run whose force stays at one value, so that every figure of it is known."""
    return run(entry, test, repeat, trace([value] * 5))


def results(
    of: Session, values: Mapping[tuple[str, str], Sequence[float]], problems: Problems | None = None
) -> Results:
    """Return the results of flat runs, by (entry, test); errors are collected or must not be."""
    runs = tuple(
        flat_run(entry, test, repeat, value)
        for (entry, test), repeats in values.items()
        for repeat, value in enumerate(repeats, start=1)
    )
    own = Problems()
    found = results_of_runs(of, runs, problems or own)
    assert not own.errors, own.errors
    return found


def taken(
    spec: Mapping[str, object], *traces: Trace, length_s: float = 1000.0
) -> tuple[float, str]:
    """Take a figure, declared as in session.toml, from traces; the first has the figure."""
    declared = {"label": "x", "test": "t", "channel": traces[0].channel, **spec}
    figure = _FIGURES.validate_python(declared)
    assert isinstance(figure, TraceFigure)
    return take(figure, View({one.channel: one for one in traces}, length_s))


def is_close(found: tuple[float, str], value: float, unit: str, *, rel: float = 1e-9) -> bool:
    """Say whether a taken value is the one expected, in the unit expected."""
    return found[1] == unit and math.isclose(found[0], value, rel_tol=rel, abs_tol=1e-12)


def seconds(value: float) -> str:
    """Write a time as a session does, to the last digit."""
    return f"{float(value)!r} s"


def ledger_row(
    episode: int, entry: str, figure: str, value: str | None, unit: str = "N", *, reason: str = ""
) -> LedgerRow:
    """Return a row of a ledger; a withdrawal where there is no value."""
    return LedgerRow(
        episode=episode,
        date=date(2026, 1, episode),
        entry=entry,
        name=entry.title(),
        figure=figure,
        value=None if value is None else Decimal(value),
        unit=unit,
        source=f"episode {episode}",
        action="result" if value is not None else "withdrawn",
        reason=reason,
    )
