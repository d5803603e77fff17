"""Other looks at curves: logarithms, a second channel, inset, crosshair, axes that close in."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from overlays.checks.truth import read_back
from overlays.draw.canvas import Canvas, draw_alone
from overlays.draw.room import Room
from overlays.errors import OutlineError
from overlays.kinds.curves import Curves
from overlays.model.trace import Trace
from tests.kinds.conftest import (
    Bench,
    make_repeats,
    make_results,
)
from tests.kinds.curve_scenes import (
    FEATURES,
    FRAMES,
    Window,
    content_with,
    heated,
    scene_with,
)


@pytest.fixture(scope="module")
def bench() -> Bench:
    return heated()


def test_logarithms_are_true_to_their_axis(bench: Bench) -> None:
    """A tenth of a value lies a power of ten lower, whatever the value; 0 and below stay open."""
    scene = scene_with(bench, log=True)
    scale = scene.axes.value
    assert scale.low > 0
    assert scale.at(50.0) - scale.at(5.0) == pytest.approx(scale.at(20.0) - scale.at(2.0))
    assert scale.value(scale.at(37.0)) == pytest.approx(37.0)
    zeroed = replace(scene._content.lines[0], values=np.zeros_like(scene._content.lines[0].values))
    assert np.isnan(scale.px(zeroed.values)).all()
    assert any(part.startswith("logarithmic") for part in scene._content.caption)


def test_a_trace_without_a_value_above_zero_has_no_logarithm() -> None:
    """It is told by its name."""
    whole = make_repeats("alder")
    runs = tuple(
        replace(run, traces={"torque": replace(run.traces["torque"],
                                               values=-np.abs(run.traces["torque"].values) - 1)})
        for run in whole.runs
    )  # fmt: skip
    results = make_results(repeats={("alder", "cold"): replace(whole, runs=runs)})
    with pytest.raises(OutlineError, match="Alder has no value above 0") as caught:
        content_with(results, log=True)
    assert caught.value.code == "no-logarithm"


def test_a_second_channel_is_measured_on_the_right(bench: Bench) -> None:
    """Its line lies true to its own axis, and its flag shows its own value and decimals."""
    scene = scene_with(bench, second="rotor", entries=["alder"])
    assert [curve.key for curve in scene.curves] == ["alder", "alder rotor"]
    left, right = (scene.axes_of(0, curve) for curve in scene.curves)
    assert left.plot == right.plot
    assert left.value != right.value
    assert right.value.at(110.0) == pytest.approx(
        right.value.start + (110 - right.value.low) / (right.value.high - right.value.low)
        * (right.value.end - right.value.start)
    )  # fmt: skip
    last = scene._timing.data.frames - 1
    assert scene._text(last, 1) == "110"
    assert "rotor temperature, °C, on the right" in scene._content.caption
    assert "rotor temperature at the end: 110 °C" in Curves.describe(scene._content)


def test_the_inset_shows_the_stretch_true_to_its_own_axes(bench: Bench) -> None:
    """Read back from the window, every curve lies within a pixel of its trace, magnified."""
    scene = scene_with(bench, (1920, 1080), **FEATURES["inset"])
    (inset,) = scene._inset
    assert (inset.axes.time.low, inset.axes.time.high) == (1.0, 1.6)
    assert inset.axes.time.px_per_unit > 2 * scene.axes.time.px_per_unit
    pixels = draw_alone(scene, FRAMES - 1)
    traces = {
        line.key: Trace("shown", "1", line.time_s.copy(), line.values.copy())
        for line in scene._content.lines
    }
    alone = Window(inset, scene)
    readings = read_back(alone, FRAMES - 1, pixels, traces)
    assert sum(reading.columns for reading in readings) > 400
    assert max(reading.worst_px for reading in readings) <= 1.0


def test_the_inset_hides_no_curve(bench: Bench) -> None:
    """Where the plot has room, the window stands where no curve runs."""
    scene = scene_with(bench, (1920, 1080), **FEATURES["inset"])
    room = Room(scene.axes.plot, 4)
    for curve in scene.curves:
        room.take_curve(scene.axes.points(curve.time_s, curve.values), curve.width)
    assert room.hits(scene._inset[0].covers[0]) == 0


def test_a_crosshair_reads_what_the_traces_have_there(bench: Bench) -> None:
    """At every frame its digits are the values at the time it shows, and it goes steadily."""
    scene = scene_with(bench, (1280, 720), **FEATURES["crosshair"])
    (crosshair,) = scene._crosshair
    (move,) = scene._timing.steps
    times = [crosshair.at_s(frame) for frame in range(move.first, FRAMES)]
    assert times[0] == 2.0
    assert times[-1] == 4.0
    assert times == sorted(times)
    assert max(np.diff(times)) < 0.2
    for frame in (move.first + 20, FRAMES - 1):
        at_s = crosshair.at_s(frame)
        wanted = {
            f"{np.interp(at_s, line.time_s, line.values):.1f}" for line in scene._content.lines
        }
        digits = "".join(
            line.text
            for layer in crosshair._read(at_s, [row.at(at_s) for row in crosshair._rows])
            for line in layer.patch.written
        )
        assert all(text in digits for text in wanted)
    ends = [np.interp(4.0, line.time_s, line.values) for line in scene._content.lines]
    said = ", ".join(f"{n} {v:.1f} N·m" for n, v in zip(("Alder", "Dune"), ends, strict=True))
    assert f"A crosshair goes from 2 s and reads at 4 s: {said}." in Curves.describe(scene._content)


def test_only_what_moves_is_redrawn_while_a_crosshair_goes(bench: Bench) -> None:
    """The line's two columns and some digits change, not the plot."""
    scene = scene_with(bench, (1280, 720), **FEATURES["crosshair"])
    canvas, move = Canvas(scene), scene._timing.steps[0]
    canvas.draw(move.end - 30)
    areas = [sum(rect.area for rect in canvas.draw(move.end - 30 + n)) for n in range(1, 29)]
    assert max(areas) < 0.02 * 1280 * 720


def test_the_axes_close_in_after_a_look(bench: Bench) -> None:
    """Old axes stand, labels go, the axes move without a number on them, new numbers come."""
    scene = scene_with(bench, (1280, 720), **FEATURES["closer"])
    curve = scene.curves[-1]
    move = scene._timing.steps[-1]
    before = scene.axes_of(move.first, curve)
    after = scene.axes_of(FRAMES - 1, curve)
    assert (before.time.low, before.time.high) == (0.0, 6.0)
    assert (after.time.low, after.time.high) == (0.0, 1.2)
    assert before.plot == after.plot
    highs = [scene.axes_of(frame, curve).time.high for frame in range(FRAMES)]
    assert highs == sorted(highs, reverse=True)
    held = sum(high == 6.0 for high in highs[move.first : move.end])
    assert held >= 0.3 * move.frames
    moving = [frame for frame in range(FRAMES) if 1.2 < highs[frame] < 6.0]
    numbers = {
        frame: {
            line.text
            for layer in scene.layers(frame)
            for line in layer.patch.written
            if layer.covers.top > after.plot.bottom
        }
        for frame in (move.first, moving[len(moving) // 2], FRAMES - 1)
    }
    assert [len(texts) > 0 for texts in numbers.values()] == [True, False, True]
    assert "0.4" in numbers[FRAMES - 1]
    assert tuple(scene.layers(FRAMES - 1)) == tuple(scene.layers(FRAMES - 2))


def test_flags_show_the_values_where_the_closer_plot_ends(bench: Bench) -> None:
    """Once closed in, every number that the content claims is set, and none of the gap."""
    scene = scene_with(bench, (1280, 720), **FEATURES["closer"])
    content = scene._content
    texts = [line.text for layer in scene.layers(FRAMES - 1) for line in layer.patch.written]
    wanted = [f"{np.interp(1.2, line.time_s, line.values):.1f}" for line in content.lines]
    assert list(content.values) == wanted
    assert set(wanted) <= set(texts)
    assert not any(text.startswith("at ") for text in texts)
    assert "close in on 0 s to 1.2 s" in Curves.describe(content)
