"""Results built by hand: a bench of disc-brake pads with plausible curves, four entries."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from overlays.draw.canvas import Canvas
from overlays.draw.patch import Pixels, Scene
from overlays.kinds.base import Content
from overlays.kinds.registry import build
from overlays.model.clip import Stage
from overlays.model.outline import Cue
from overlays.model.result import Figure, Results, ScoreRow, Standing
from overlays.model.run import Repeats, Run, RunRef
from overlays.model.session import Session, SessionSpec
from overlays.model.trace import FloatArray, Trace
from overlays.style.house import Style, load_style

ENTRIES = ("alder", "basalt", "cobble", "dune")
RATE_HZ = 500
LENGTH_S = 6.0
SHAPES = ((480, 270), (270, 480), (300, 300))


def torque(entry: int, *, rate_hz: int = RATE_HZ, repeat: int = 1) -> tuple[FloatArray, FloatArray]:
    """Return a cold stop of N·m against s: the bite, fade with heat, stick-slip ripple, noise."""
    level, bite_s, fade = ((71.0, 0.25, 1.3), (66.0, 0.45, -0.4), (63.0, 0.5, 0.1), (53.0, 0.2, 0))[
        entry
    ]
    rng = np.random.default_rng(100 * entry + repeat)
    time_s = np.arange(-100, round((LENGTH_S + 0.3) * rate_hz)) / rate_hz
    since = np.maximum(time_s, 0.0)
    values = level * (1 - np.exp(-since / bite_s)) - fade * since
    values += 1.1 * np.sin(2 * np.pi * 3.1 * since) * np.minimum(since, 1.0)
    noise = np.convolve(rng.normal(size=len(time_s) + 24), np.hanning(25) / 12, "same")[12:-12]
    return time_s, values + 0.4 * noise[: len(time_s)] * np.minimum(since * 4, 1.0)


SPEC: dict[str, Any] = {
    "episode": {"title": "Four pads", "season": "Pad season", "number": 7, "date": "2026-03-21"},
    "entries": {
        "alder": {
            "name": "Alder",
            "note": "resin, new mix",
            "attributes": {"price": "18.50 EUR", "mass": "21 g", "claimed_torque": "75 N*m"},
        },
        "basalt": {"name": "Basalt", "note": "sintered iron"},
        "cobble": {"name": "Cobble"},
        "dune": {"name": "Dune", "note": "ceramic fleece"},
    },
    "channels": {"torque": {"label": "brake torque", "column": "torque", "unit": "N*m"}},
    "tests": {
        "cold": {"label": "Cold stop", "length": "6 s", "channels": ["torque"], "main": "mean"}
    },
    "figures": {
        "mean": {
            "label": "cold stop",
            "take": "mean",
            "test": "cold",
            "channel": "torque",
            "start": "1 s",
            "end": "5 s",
        },
        "late": {
            "label": "cold, late",
            "take": "at",
            "test": "cold",
            "channel": "torque",
            "at": "5.5 s",
        },
        "kept": {
            "label": "claim kept",
            "take": "ratio",
            "of": "mean",
            "by": "claimed_torque",
            "unit": "%",
            "places": 0,
        },
    },
    "points": {
        "cold": {"label": "cold stop", "figure": "mean", "most": 30},
        "claim": {"label": "claim kept", "figure": "kept", "most": 15},
    },
}


def make_session() -> Session:
    spec = {**SPEC, "episode": {**SPEC["episode"], "date": date(2026, 3, 21)}}
    return Session(Path("bench"), SessionSpec.model_validate(spec), (), {})


def make_repeats(entry: str, *, runs: int = 3, rate_hz: int = RATE_HZ) -> Repeats:
    def run(repeat: int) -> Run:
        file = f"logs/{entry}_cold_{repeat}.csv"
        time_s, values = torque(ENTRIES.index(entry), rate_hz=rate_hz, repeat=repeat)
        trace = Trace("torque", "N*m", time_s, values, ("zeroed", "20 Hz zero-phase"))
        return Run(RunRef(entry, "cold", repeat, Path(file), file), {"torque": trace})

    return Repeats(entry, "cold", tuple(run(n + 1) for n in range(runs)), (), runs // 2)


def figure(
    key: str, entry: str, value: float | None, *, unit: str, places: int, n: int = 3
) -> Figure:
    shown = "–" if value is None else f"{value:.{places}f}"
    test = "cold" if key == "mean" else None
    return Figure(key, entry, test, value, unit, places, shown, (value,) * n, 2, 0.4, n)


def row(entry: str, values: tuple[float, float | None], points: tuple[str, str | None], rank: int
        ) -> ScoreRow:  # fmt: skip
    given = [None if part is None else Decimal(part) for part in points]
    return ScoreRow(
        entry,
        SPEC["entries"][entry]["name"],
        {
            "cold": figure("mean", entry, values[0], unit="N*m", places=1),
            "claim": figure("kept", entry, values[1], unit="%", places=0),
        },
        {"cold": given[0], "claim": given[1]},
        sum((part for part in given if part is not None), Decimal(0)),
        rank,
    )


def make_results(**changes: Any) -> Results:
    means = {"alder": 70.2, "basalt": 67.1, "cobble": 62.7, "dune": -53.7}
    figures = {
        ("mean", entry): figure(
            "mean", entry, means[entry], unit="N*m", places=1, n=2 if entry == "dune" else 3
        )
        for entry in ENTRIES
    } | {("kept", "alder"): figure("kept", "alder", 94.0, unit="%", places=0)}
    late = replace(figure("late", "alder", 63.4, unit="N*m", places=1), test="cold")
    figures["late", "alder"] = replace(late, repeats=(61.9, 63.4, 66.0), spread=4.1)
    standings = (
        Standing(
            row("alder", (70.2, 94.0), ("30.0", "13.6"), 1),
            row("alder", (58.4, -78.0), ("24.9", "11.3"), 3),
            in_session=True,
        ),
        Standing(row("basalt", (67.1, None), ("28.7", None), 2), None, in_session=True),
    )
    results = Results(
        make_session(), {(e, "cold"): make_repeats(e) for e in ENTRIES}, figures, standings
    )
    return replace(results, **changes)


def cue(kind: str, **options: Any) -> Cue:
    line = 40
    lines = {name: line + 1 + i for i, name in enumerate(options)}
    return Cue(f"a-{kind}", kind, "beat", 0, 300, options, line, lines)


def content_of(results: Results, kind: str, **options: Any) -> Content:
    content: Content = build(cue(kind, **options), results.session).content(results)
    return content


def stage(width: int, height: int, *, frames: int = 300, rate: int = 30) -> Stage:
    return Stage(width, height, Fraction(rate), frames, "rule", "")


# One cue a kind, as the contract tests draw it: examples/KIND.toml.
EXAMPLES: dict[str, dict[str, Any]] = {
    path.stem: tomllib.loads(path.read_text(encoding="utf-8"))
    for path in sorted((Path(__file__).parent / "examples").glob("*.toml"))
}


@dataclass(frozen=True)
class Bench:
    """What most tests of kinds need."""

    results: Results
    style: Style


@pytest.fixture(scope="session")
def bench() -> Bench:
    """Four pads, measured, in the first house style."""
    return Bench(make_results(), load_style("rule"))


def assert_same_in_any_order(scene: Scene, wanted: Mapping[int, Pixels]) -> None:
    """In sequence and in reverse, the wanted frames of a scene are those given, bit for bit."""
    assert set(wanted) <= set(range(scene.frames))
    for frames in (range(scene.frames), reversed(range(scene.frames))):
        canvas = Canvas(scene)
        for frame in frames:
            canvas.draw(frame)
            if frame in wanted:
                np.testing.assert_array_equal(canvas.pixels, wanted[frame])
