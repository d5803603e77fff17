"""The options of curves: events, several gaps, spread, earlier runs, turns, pauses."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from overlays.checks.truth import read_back
from overlays.draw.canvas import Canvas, draw_alone
from overlays.draw.page import Page
from overlays.errors import OutlineError, ProblemsFound
from overlays.kinds._curves_scene import CurvesScene
from overlays.kinds.curves import Curves
from overlays.kinds.registry import build
from overlays.model.figurespec import TimeToFigure
from overlays.model.run import RunRef
from overlays.model.trace import Trace
from overlays.style.house import load_style
from overlays.units import Quantity
from tests.kinds.conftest import (
    Bench,
    assert_same_in_any_order,
    cue,
    make_results,
    stage,
)
from tests.kinds.curve_scenes import (
    FEATURES,
    FRAMES,
    content_with,
    heated,
    scattered,
    scene_with,
)


@pytest.fixture(scope="module")
def bench() -> Bench:
    return heated()


@pytest.mark.parametrize("feature", FEATURES)
@pytest.mark.parametrize("shape", [(480, 270), (270, 480)])
def test_frames_do_not_depend_on_how_they_are_reached(
    bench: Bench, feature: str, shape: tuple[int, int]
) -> None:
    """With every option a frame drawn in sequence or in reverse is the one drawn alone."""
    scene = scene_with(bench, shape, **FEATURES[feature])
    checked = {0, 1, 60, 120, 121, 180, 260, 283, 290, 296, 301, FRAMES - 1}
    wanted = {frame: draw_alone(scene, frame) for frame in checked}
    assert_same_in_any_order(scene, wanted)


@pytest.mark.parametrize("feature", FEATURES)
@pytest.mark.parametrize("style", ["rule", "paper"])
@pytest.mark.parametrize("shape", [(1280, 720), (607, 1080)])
def test_every_curve_still_lies_on_its_data(
    bench: Bench, feature: str, style: str, shape: tuple[int, int]
) -> None:
    """Whatever else is shown, the ink of every curve lies within a pixel of its trace."""
    content = content_with(bench.results, **FEATURES[feature])
    scene = CurvesScene(content, stage(*shape, frames=FRAMES), load_style(style))
    traces = {
        line.key: Trace("shown", "1", line.time_s.copy(), line.values.copy())
        for line in content.drawn
    }
    read = 0
    for frame in (130, 200, 296, FRAMES - 1):
        for reading in read_back(scene, frame, draw_alone(scene, frame), traces):
            assert reading.worst_px <= 1.0
            assert reading.stray <= 2
            read += reading.columns
    assert read > 300


@pytest.mark.parametrize("feature", FEATURES)
@pytest.mark.parametrize("shape", [(1920, 1080), (1080, 1920), (1080, 1080)])
def test_labels_keep_clear_of_each_other_and_of_the_safe_area(
    bench: Bench, feature: str, shape: tuple[int, int]
) -> None:
    """No text lies over another, nor outside the graphics-safe area."""
    scene = scene_with(bench, shape, **FEATURES[feature])
    safe = Page(*shape, bench.style).graphics
    texts = [
        line.rect.moved(layer.left, layer.top)
        for layer in scene.layers(FRAMES - 1)
        for line in layer.patch.written
    ]
    for index, rect in enumerate(texts):
        assert rect.meet(safe) == rect
        assert all(rect.meet(other).empty for other in texts[index + 1 :])


def test_lines_differ_by_more_than_colour(bench: Bench) -> None:
    """The first entry's line is solid, and no two of four have the same dash."""
    dashes = [curve.dash for curve in scene_with(bench).curves]
    assert dashes[0] == ()
    assert len(set(dashes)) == len(dashes) == 4


def test_dashes_stand_still_while_the_line_grows(bench: Bench) -> None:
    """Left of its head a curve looks at every moment as it does at the end."""
    scene = scene_with(bench, entries=["cobble"])
    end = draw_alone(scene, FRAMES - 1)
    plot = scene.axes.plot
    for frame in (80, 120, 160):
        until = scene.drawn_to_s(frame, scene.curves[-1])
        assert until is not None
        head = int(scene.axes.time.at(until)) - 20
        now = draw_alone(scene, frame)
        where = np.s_[plot.top : plot.bottom, plot.left : head]
        np.testing.assert_array_equal(now[where], end[where])


def test_a_peak_is_marked_when_the_curve_has_come_to_it(bench: Bench) -> None:
    """The mark appears on the frame that draws the peak, with the highest value shown."""
    scene = scene_with(bench, peak=["alder"])
    (mark,) = scene._content.marks
    line = scene._content.lines[0]
    assert mark.value == line.values.max()
    assert mark.number == f"{line.values.max():.1f}"
    first = scene._timing.frame_at(mark.at_s)
    assert len(scene._marks.layers(first - 1)) == 0
    assert len(scene._marks.layers(first)) >= 1
    until = scene.drawn_to_s(first, scene.curves[0])
    assert until is not None
    assert until >= mark.at_s


def test_a_level_is_reached_when_the_trace_crosses_it(bench: Bench) -> None:
    """Times to a level are those of the traces, read off between samples; the first comes first."""
    content = content_with(bench.results, reached="40 N*m")
    assert content.level == 40.0
    assert [mark.at_s for mark in content.reached] == sorted(m.at_s for m in content.reached)
    for mark in content.reached:
        line = content.lines[mark.line]
        before = line.values[line.time_s < mark.at_s - 1e-9]
        assert before.max() < 40.0
        assert np.interp(mark.at_s, line.time_s, line.values) == pytest.approx(40.0, abs=1e-6)
        assert abs(float(mark.number) - mark.at_s) <= 0.005 + 1e-9
    assert "0.21 s, to 40 N·m" in Curves.describe(content)


def test_a_time_to_figure_gives_the_level_and_its_unit(bench: Bench) -> None:
    """Named by its figure, the time is set in the figure's unit and decimals."""
    figure = TimeToFigure(
        label="bite", take="time_to", test="cold", level=Quantity.parse("40 N*m"),
        unit="ms", places=0,
    )  # fmt: skip
    spec = bench.results.session.spec
    changed = spec.model_copy(update={"figures": {**spec.figures, "bite": figure}})
    results = make_results(session=replace(bench.results.session, spec=changed))
    content = content_with(results, reached="bite")
    line = content.lines[0]
    after = int(np.argmax(line.values >= 40.0))
    near = [after - 1, after]
    at_s = np.interp(40.0, line.values[near], line.time_s[near])
    assert (content.reached[0].number, content.reached[0].unit) == (f"{1000 * at_s:.0f}", "ms")


def test_several_gaps_come_one_after_the_other(bench: Bench) -> None:
    """Each gap has its own stretch of frames, and its line spans its two values."""
    scene = scene_with(bench, (1280, 720), **FEATURES["gaps"])
    first, second = scene._gap_moves()
    assert scene._timing.data.end <= first.first < first.end <= second.first < second.end <= FRAMES
    for gap, call_out in zip(scene._content.gaps, scene._gaps, strict=True):
        apart = abs(np.subtract(*gap.values)) * scene.axes.value.px_per_unit
        assert call_out.line.covers.bottom - call_out.line.covers.top >= apart - 6


def test_gaps_at_one_time_stand_side_by_side(bench: Bench) -> None:
    """Dimension lines that would lie on one another are set apart, with lines that lead there."""
    scene = scene_with(bench, gap=[["alder", "dune"], ["basalt", "dune"]], gap_at=["3 s", "3 s"])
    first, second = (gap.line.covers for gap in scene._gaps)
    assert first.meet(second).empty
    assert len(scene._gaps[1].around) > len(scene._gaps[0].around)


def test_a_gap_is_judged_by_the_repeats(bench: Bench) -> None:
    """With a figure to judge by, the gap says in words whether the repeats support it."""
    words = content_with(bench.results, gap=["alder", "cobble"], verdict="mean").gaps[0].verdict
    assert words.startswith("cold stop: ")
    assert words in Curves.describe(content_with(bench.results, gap=["alder", "cobble"],
                                                 verdict="mean"))  # fmt: skip


def test_the_band_holds_every_repeat() -> None:
    """Between its edges lie all repeats at every time, and on each edge lies one of them."""
    results = scattered()
    content = content_with(results, spread=True)
    for line in content.lines:
        band = line.band
        assert band is not None
        assert band.n == 3
        shown = np.stack([
            np.interp(band.time_s, run.traces["torque"].time_s, run.traces["torque"].values)
            for run in results.repeats[line.entry, "cold"].runs
        ])  # fmt: skip
        np.testing.assert_allclose(band.low, shown.min(axis=0), atol=1e-9)
        np.testing.assert_allclose(band.high, shown.max(axis=0), atol=1e-9)
    low, high = content.spread
    assert high == max(line.band.high.max() for line in content.lines if line.band)
    assert low <= min(line.values.min() for line in content.lines)
    assert "band: all repeats" in content.caption


def test_the_band_grows_with_its_curve() -> None:
    """Past the head there is no band yet, and before it the band is pale and behind the curve."""
    results, style = scattered(), load_style("rule")
    content = content_with(results, spread=True, entries=["alder"])
    scene = CurvesScene(content, stage(1280, 720, frames=FRAMES), style)
    bare = CurvesScene(
        replace(content, lines=tuple(replace(line, band=None) for line in content.lines)),
        stage(1280, 720, frames=FRAMES), style,
    )  # fmt: skip
    frame = 100
    until = scene.drawn_to_s(frame, scene.curves[-1])
    assert until is not None
    head = int(scene.axes.time.at(until) + 0.5)
    line = content.lines[0]
    assert line.band is not None
    at_s = until - 0.5
    x = int(scene.axes.time.at(at_s))
    y = int(scene.axes.value.at(float(np.interp(at_s, line.band.time_s, line.band.high)))) + 4
    inked = draw_alone(scene, frame)
    assert tuple(inked[y, x]) != tuple(draw_alone(scene, 20)[y, x])
    assert bare.axes.plot == scene.axes.plot
    band = scene._bands[0]
    assert band is not None
    shown = [layer for layer in scene.layers(frame) if layer.patch is band.patch]
    assert [layer.covers.right for layer in shown] == [head]


def test_an_earlier_run_is_pale_and_whole_from_the_start(bench: Bench) -> None:
    """Before the curves begin it stands complete, thinner and in no entry's colour."""
    scene = scene_with(bench, before=["dune", "alder 1"], entries=["alder", "basalt"])
    first = scene._timing.data.first
    pale = scene.curves[:2]
    assert [curve.key for curve in pale] == ["dune 2", "alder 1"]
    assert [scene.drawn_to_s(first, curve) for curve in pale] == [6.0, 6.0]
    assert scene.drawn_to_s(1, pale[0]) is None
    assert all(curve.width < scene.curves[-1].width for curve in pale)
    assert not {curve.colour for curve in pale} & set(bench.style.colours.entries)
    assert "Dune, for reference, Alder, run 1" in Curves.describe(scene._content)


def test_entries_in_turn_are_drawn_one_after_the_other(bench: Bench) -> None:
    """A line begins when the one before it is whole; its flag stands at its own head."""
    scene = scene_with(bench, in_turn=True, pace="fit")
    for frame in range(FRAMES):
        shown = [scene.drawn_to_s(frame, curve) for curve in scene.curves]
        drawing = [s for s in shown if s is not None and s < 6.0]
        assert len(drawing) <= 1
        begun = [s is not None for s in shown]
        assert begun == sorted(begun, reverse=True)
    assert [scene.drawn_to_s(FRAMES - 1, curve) for curve in scene.curves] == [6.0] * 4
    assert [scene.drawn_to_s(60, curve) for curve in scene.curves][1:] == [None] * 3


def test_live_entries_in_turn_need_the_time_of_all(bench: Bench) -> None:
    """At live pace four runs of six seconds do not fit into eleven."""
    content = content_with(bench.results, in_turn=True)
    with pytest.raises(OutlineError, match=r"4 runs of 6 s in turn at live pace needs at least 24"):
        Curves.check_length(content, stage(480, 270, frames=FRAMES))


def test_a_pause_stops_the_run_and_costs_nothing(bench: Bench) -> None:
    """While it lasts no sample is added and nothing changes; then the run goes on where it was."""
    scene = scene_with(bench, (1280, 720), **FEATURES["pause"])
    shown = [scene.drawn_to_s(frame, scene.curves[-1]) for frame in range(FRAMES)]
    assert shown.count(3.0) == 46
    place = shown.index(3.0)
    assert shown[place + 46] == pytest.approx(3.0 + 1 / 30)
    canvas = Canvas(scene)
    changed = [bool(canvas.draw(frame)) for frame in range(place, place + 46)]
    # The gap is called out, the flags come to rest, and then all stands.
    assert not any(changed[25:])
    assert scene._gap_moves()[0].first == scene._timing.pause.first
    assert scene._gaps[0].around[0].covers.right <= scene.axes.time.at(3.0)


def test_left_out_runs_are_named(bench: Bench) -> None:
    """The method line names runs that the user left out, with the reason."""
    ref = RunRef(
        "dune", "cold", 4, bench.results.session.folder, "dune.csv", "belt slipped", use=False
    )
    repeats = dict(bench.results.repeats)
    repeats["dune", "cold"] = replace(repeats["dune", "cold"], left_out=(ref,))
    content = content_with(make_results(repeats=repeats))
    assert content.caption[-1] == "left out: Dune run 4 (belt slipped)"


def test_every_number_claimed_is_set(bench: Bench) -> None:
    """The last frame shows each number that the content says comes from traces."""
    for feature, options in FEATURES.items():
        scene = scene_with(bench, (1280, 720), **options)
        texts = {line.text for layer in scene.layers(FRAMES - 1) for line in layer.patch.written}
        assert set(scene._content.values) <= texts, feature


@pytest.mark.parametrize(
    ("options", "code", "field"),
    [
        ({"gap": [["alder", "dune"]], "gap_at": ["1 s", "2 s"]}, "bad-gap", "gap_at"),
        ({"verdict": "mean"}, "bad-gap", "verdict"),
        ({"gap": ["alder", "dune"], "verdict": "kept"}, "no-figure", "verdict"),
        ({"entries": ["alder"], "peak": ["dune"]}, "not-drawn", "peak"),
        ({"reached": "400 N*m"}, "not-reached", "reached"),
        ({"reached": "40 kg"}, "bad-level", "reached"),
        ({"reached": "mean"}, "bad-level", "reached"),
        ({"reached": "forty"}, "bad-level", "reached"),
        ({"before": ["alder 9"]}, "no-run", "before"),
        ({"second": "rotor"}, "bad-second", "second"),
        ({"inset": ["3 s", "9 s"]}, "bad-stretch", "inset"),
        ({"inset": ["3 s", "2 s"]}, "bad-stretch", "inset"),
        ({"crosshair": "9 s"}, "bad-stretch", "crosshair"),
        ({"closer": ["1 s", "1.01 s"]}, "bad-stretch", "closer"),
        ({"closer": ["1 s", "2 s"], "log": True}, "bad-closer", "closer"),
        ({"pause": {"at": "9 s", "hold": "1 s"}}, "bad-pause", "pause"),
        ({"pause": {"at": "3 s", "hold": "1 s"}, "in_turn": True}, "bad-pause", "pause"),
    ],
)
def test_options_that_cannot_be_shown_are_refused(
    bench: Bench, options: dict[str, object], code: str, field: str
) -> None:
    """Each error names its option and says what to do."""
    overlay = build(cue("curves", test="cold", **options), bench.results.session)
    with pytest.raises(OutlineError) as caught:
        overlay.content(bench.results)
    assert (caught.value.code, caught.value.field) == (code, field)
    assert caught.value.remedy


@pytest.mark.parametrize(
    ("options", "code"),
    [
        ({"pause": "3 s"}, "bad-pause"),
        ({"pause": {"at": "3 s", "hold": "2 kg"}}, "not-a-time"),
        ({"gap_at": "soon"}, "bad-quantity"),
        ({"gap": ["alder"]}, "bad-length"),
        ({"inset": ["1 s"]}, "bad-length"),
        ({"crosshair": ["1 s", "2 s", "3 s"]}, "bad-length"),
        ({"second": "rotr"}, "unknown-channel"),
        ({"before": ["aldr 1"]}, "unknown-entry"),
        ({"verdict": "men"}, "unknown-figure"),
    ],
)
def test_options_of_the_wrong_sort_are_refused(
    bench: Bench, options: dict[str, object], code: str
) -> None:
    """They are told with their line when the cue is built."""
    with pytest.raises(ProblemsFound) as caught:
        build(cue("curves", test="cold", **options), bench.results.session)
    assert [problem.code for problem in caught.value.problems()] == [code]
    assert caught.value.problems()[0].line == 42
