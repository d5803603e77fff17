"""A small invented session and its results, built by hand, for the tests of the outline."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np

from overlays.errors import Problems
from overlays.model.outline import Outline
from overlays.model.result import Figure, Results
from overlays.model.run import Repeats, Run, RunRef
from overlays.model.session import Session, SessionSpec
from overlays.model.trace import Trace
from overlays.numbers import fixed
from overlays.outline.reader import read_outline

__all__ = ["figure", "make_results", "make_runs", "make_session", "read", "report", "trace"]

FIGURES = {
    # (figure, entry): value in its unit; None is missing
    ("cold_mean", "alder"): 86.44,
    ("cold_mean", "dune"): 80.06,
    ("cold_mean", "fjord"): None,
    ("wet_mean", "alder"): 57.63,
    ("wet_mean", "dune"): 68.02,
    ("bite", "alder"): 0.231,
    ("bite", "dune"): 0.318,
    ("rotor", "alder"): 231.4,
    ("rotor", "dune"): 248.9,
}
UNITS = {"cold_mean": ("N*m", 1), "wet_mean": ("N*m", 1), "bite": ("s", 2), "rotor": ("degC", 0)}


def make_session(folder: Path, **episode: Any) -> Session:
    """Return a session of three pads on a brake bench; `episode` goes over its episode table."""
    table = {"title": "Four pads", "date": "2031-05-04", "rate": "25", "start": "00:00:00:00"}
    spec = {
        "episode": table | episode,
        "entries": {
            "alder": {"name": "Alder Sintered", "short": "Alder", "attributes": {
                "price": "18.50 EUR", "mass": "21 g", "claimed": "80 N*m"}},
            "dune": {"name": "Dune Organic", "short": "Dune", "attributes": {
                "price": "12.00 EUR", "mass": "19 g"}},
            "fjord": {"name": "Fjord"},
        },
        "channels": {
            "torque": {"label": "Torque", "column": "torque", "unit": "N*m"},
            "temp": {"label": "Rotor", "column": "temp", "unit": "degC"},
        },
        "tests": {"cold": {"label": "Cold stop", "length": "6 s", "channels": ["torque", "temp"],
                           "main": "cold_mean"}},
        "figures": {
            "cold_mean": {"label": "Mean torque", "take": "mean", "test": "cold",
                          "channel": "torque"},
            "wet_mean": {"label": "Wet torque", "take": "mean", "test": "cold",
                         "channel": "torque"},
            "bite": {"label": "Time to bite", "take": "time_to", "test": "cold",
                     "channel": "torque", "level": "40 N*m", "places": 2, "better": "lower"},
            "rotor": {"label": "Rotor peak", "take": "peak", "test": "cold", "channel": "temp",
                      "places": 0, "better": "lower"},
        },
    }  # fmt: skip
    return Session(folder, SessionSpec.model_validate(spec), (), {"episode.start": 4})


def figure(name: str, entry: str, value: float | None) -> Figure:
    """Return a figure with one repeat."""
    unit, places = UNITS[name]
    return Figure(
        figure=name,
        entry=entry,
        test="cold",
        value=value,
        unit=unit,
        places=places,
        shown="–" if value is None else fixed(value, places),
        repeats=(value,),
        median_repeat=None if value is None else 1,
        spread=None,
        n=1,
        why_missing="no run of the cold stop" if value is None else "",
    )


def make_results(
    session: Session, values: Mapping[tuple[str, str], float | None] | None = None
) -> Results:
    """Return results that hold `FIGURES`, with `values` over them."""
    numbers = FIGURES | dict(values or {})
    figures = {key: figure(*key, value) for key, value in numbers.items()}
    return Results(session=session, repeats={}, figures=figures, standings=())


def trace(points: Sequence[tuple[float, float]], *, channel: str = "torque") -> Trace:
    """Return a trace through some points, sampled a hundred times a second."""
    times, values = zip(*points, strict=True)
    time_s = np.linspace(times[0], times[-1], round((times[-1] - times[0]) * 100) + 1)
    return Trace(channel, "N*m", time_s, np.interp(time_s, times, values))


def make_runs(results: Results, traces: Mapping[str, Trace] | None = None) -> Results:
    """Return results with a run of the cold stop for each entry.

    Left alone, Alder rises to 100 N·m at 2 s and falls, Dune to 90 N·m at 4 s; they cross at 3 s
    at 75 N·m.
    """
    chosen = traces or {
        "alder": trace([(-1, 0), (0, 0), (2, 100), (4, 50), (6, 40)]),
        "dune": trace([(-1, 0), (0, 0), (2, 60), (4, 90), (6, 80)]),
    }
    repeats = {}
    for entry, one in chosen.items():
        ref = RunRef(entry, "cold", 1, Path("log.csv"), "log.csv")
        run = Run(ref, {one.channel: one})
        repeats[entry, "cold"] = Repeats(entry, "cold", (run,), (), 0)
    return dataclasses.replace(results, repeats=repeats)


def read(folder: Path, script: str, **episode: Any) -> tuple[Outline, Problems]:
    """Write a script into a session and read it; fails the test where there is no outline."""
    (folder / "outline.md").write_text(script, encoding="utf-8")
    session = make_session(folder, **episode)
    problems = Problems()
    outline = read_outline(session, make_results(session), problems)
    assert outline is not None, report(problems)
    return outline, problems


def report(problems: Problems) -> list[tuple[str, int | None]]:
    """Return the code and line of every problem, in order of line."""
    found = [(problem.code, problem.line) for problem in problems.found]
    return sorted(found, key=lambda pair: (pair[1] or 0, pair[0]))
