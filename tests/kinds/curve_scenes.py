"""Scenes of curves with every option, for the tests of their options and views."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from overlays.draw.axis import Axes
from overlays.draw.curve import Curve
from overlays.draw.patch import Layer, Rect
from overlays.kinds._curve_content import CurvesContent
from overlays.kinds._curve_inset import Inset
from overlays.kinds._curves_scene import CurvesScene
from overlays.model.result import Results
from overlays.model.session import ChannelSpec
from overlays.model.trace import Trace
from overlays.style.house import load_style
from tests.kinds.conftest import (
    ENTRIES,
    Bench,
    content_of,
    make_repeats,
    make_results,
    stage,
)

FRAMES = 330
FEATURES: dict[str, dict[str, object]] = {
    "events": {"peak": ["alder"], "reached": "40 N*m"},
    "gaps": {"gap": [["alder", "dune"], ["basalt", "cobble"]], "gap_at": ["3 s", "end"]},
    "spread": {"spread": True, "entries": ["alder", "cobble"]},
    "before": {"before": ["dune"], "entries": ["alder", "basalt"]},
    "turns": {"in_turn": True, "pace": "fit", "peak": ["basalt"]},
    "pause": {
        "pause": {"at": "3 s", "hold": "1.5 s"}, "gap": ["alder", "dune"], "gap_at": "3 s",
    },
    "log": {"log": True, "gap": ["alder", "dune"]},
    "second": {"second": "rotor", "entries": ["alder"], "peak": ["alder"]},
    "inset": {"inset": ["1 s", "1.6 s"], "gap": ["alder", "dune"], "gap_at": "3 s"},
    "crosshair": {"crosshair": ["2 s", "4 s"], "entries": ["alder", "dune"]},
    "closer": {
        "closer": ["0 s", "1.2 s"], "spread": True, "before": ["dune 1"],
        "entries": ["alder", "basalt"], "gap": ["alder", "basalt"],
    },
}  # fmt: skip


def heated() -> Bench:
    """Four pads whose rotors were measured, too: from 20 °C up, by 15 °C a second."""
    made = make_results()
    channel = ChannelSpec(label="rotor temperature", column="rotor", unit="degC", places=0)
    spec = made.session.spec
    session = replace(
        made.session,
        spec=spec.model_copy(update={"channels": {**spec.channels, "rotor": channel}}),
    )
    repeats = {}
    for key, whole in made.repeats.items():
        runs = []
        for run in whole.runs:
            torque = run.traces["torque"]
            heated = 20 + 15 * np.maximum(torque.time_s, 0.0)
            rotor = Trace("rotor", "degC", torque.time_s.copy(), heated)
            runs.append(replace(run, traces={**run.traces, "rotor": rotor}))
        repeats[key] = replace(whole, runs=tuple(runs))
    return Bench(replace(made, session=session, repeats=repeats), load_style("rule"))


def content_with(results: Results, **options: object) -> CurvesContent:
    content = content_of(results, "curves", **{"test": "cold", **options})
    assert isinstance(content, CurvesContent)
    return content


def scene_with(
    bench: Bench, shape: tuple[int, int] = (1280, 720), **options: object
) -> CurvesScene:
    content = content_with(bench.results, **options)
    return CurvesScene(content, stage(*shape, frames=FRAMES), bench.style)


def scattered(scale: float = 0.05) -> Results:
    """Results whose repeats lie apart by a share of their values."""
    repeats = {}
    for entry in ENTRIES:
        whole = make_repeats(entry)
        runs = []
        for index, run in enumerate(whole.runs):
            trace = run.traces["torque"]
            lies = replace(trace, values=trace.values * (1 + scale * (index - 1)))
            runs.append(replace(run, traces={"torque": lies}))
        repeats[entry, "cold"] = replace(whole, runs=tuple(runs))
    return make_results(repeats=repeats)


class Window:
    """An inset taken for a scene of its own."""

    def __init__(self, inset: Inset, scene: CurvesScene) -> None:
        self.width, self.height, self.frames = scene.width, scene.height, scene.frames
        self.curves = inset.curves
        self._inset, self._scene = inset, scene

    def axes_of(self, frame: int, curve: Curve) -> Axes:
        del frame, curve
        return self._inset.axes

    def drawn_to_s(self, frame: int, curve: Curve) -> float | None:
        del frame, curve
        return self._inset.axes.time.high

    def covered(self, frame: int) -> Sequence[Rect]:
        del frame
        return ()

    def layers(self, frame: int) -> Sequence[Layer]:
        return self._scene.layers(frame)
