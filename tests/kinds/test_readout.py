"""Readout: digits and pointer are the data's at the time they say, and a gap is never a number."""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.checks.digits import read_number
from overlays.checks.writing import is_number, lines_on
from overlays.draw.canvas import draw_alone
from overlays.draw.page import Page
from overlays.errors import OutlineError
from overlays.kinds._readout_content import Measured, ReadoutContent
from overlays.kinds._readout_scene import ReadoutScene
from overlays.kinds.curves import Curves
from overlays.kinds.readout import Readout
from overlays.kinds.registry import kinds
from overlays.model.clip import Stage
from overlays.model.figurespec import PeakFigure
from overlays.model.result import Results
from overlays.model.trace import FloatArray, Trace
from overlays.numbers import MINUS, fixed
from overlays.scoring.takes.registry import take
from overlays.scoring.takes.view import View
from overlays.style.house import load_style
from overlays.units import Quantity
from tests.kinds.conftest import Bench, content_of, make_repeats, make_results, stage
from tests.kinds.tables import overlapping, texts_at

CASES = Path(__file__).parents[1] / "data" / "cases"
SHAPES = ((1920, 1080), (1080, 1920), (1080, 1080))
FRAMES = 300


def results_with(time_s: FloatArray, values: FloatArray, *, length_s: float = 6.0) -> Results:
    """Results in which Alder's only run of the cold stop is this trace."""
    made = make_results()
    whole = make_repeats("alder", runs=1)
    run = replace(whole.runs[0], traces={"torque": Trace("torque", "N*m", time_s, values)})
    spec = made.session.spec
    cold = spec.tests["cold"].model_copy(update={"length": Quantity(length_s, "s")})
    session = replace(made.session, spec=spec.model_copy(update={"tests": {"cold": cold}}))
    repeats = {**made.repeats, ("alder", "cold"): replace(whole, runs=(run,), median=0)}
    return make_results(session=session, repeats=repeats)


def content_with(results: Results, **options: object) -> ReadoutContent:
    asked = {"entry": "alder", "test": "cold", **options}
    content = content_of(results, "readout", **asked)
    assert isinstance(content, ReadoutContent)
    return content


def scene_with(
    bench: Bench, shape: tuple[int, int] = (1920, 1080), **options: object
) -> ReadoutScene:
    content = content_with(bench.results, **options)
    return ReadoutScene(content, stage(*shape, frames=FRAMES), bench.style)


def begun(bench: Bench, content: ReadoutContent, where: Stage) -> int:
    """Return the frame that shows the moment of the trigger: the one before its first step."""
    return Readout.frame_at(content, where, bench.style, 0.0) - 1


def pointer_x(scene: ReadoutScene, bench: Bench, frame: int) -> float | None:
    """Read the middle of the pin, just above the rule, from the picture."""
    pixels, colour = draw_alone(scene, frame), bench.style.colours.entry(0).rgb
    places = {text: rect for text, rect in texts_at(scene, frame) if text == "40"}
    row = places["40"].top - 27
    found = np.flatnonzero((pixels[row, :, :3] == colour).all(axis=-1))
    found = found[found > places["40"].left - 2000]
    # The card's own edge is in the same colour.
    pin = found[found > found[0] + 30]
    return float((pin[0] + pin[-1] + 1) / 2) if len(pin) else None


def numbers_at(scene: ReadoutScene, frame: int) -> list[str]:
    """Read the large numbers of a frame from its pixels, the value first."""
    pixels = draw_alone(scene, frame)
    lines = [x for x in lines_on(scene.layers(frame)) if is_number(x.text) and x.size >= 50]
    return [read_number(line, pixels) for line in sorted(lines, key=lambda x: x.rect.left)]


def time_at(scene: ReadoutScene, frame: int) -> str:
    """Return the time that stands beside the value: the number behind the first "at"."""
    texts = texts_at(scene, frame)
    at = min((rect for text, rect in texts if text == "at"), key=lambda rect: rect.left)
    behind = [
        (rect.left, text)
        for text, rect in texts
        if is_number(text) and rect.left > at.right and rect.top < at.bottom <= rect.bottom + 4
    ]
    return min(behind)[1]


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("style", ["rule", "paper"])
def test_the_pointer_stands_at_the_data_on_every_frame(shape: tuple[int, int], style: str) -> None:
    """Read off the rule's own numbers, the pin is within a pixel of the trace at the run's time."""
    bench = Bench(make_results(), load_style(style))
    content = content_with(bench.results)
    where = stage(*shape, frames=FRAMES)
    scene, first = ReadoutScene(content, where, bench.style), begun(bench, content, where)
    trace = bench.results.repeats["alder", "cold"].median_run.traces["torque"]
    # A number ends six pixels before its tick; its last digit has some space of its own.
    ends = {text: place.right for text, place in texts_at(scene, FRAMES - 1)}
    per_unit = (ends["60"] - ends["20"]) / 40
    for frame in (first + 4, first + 11, first + 40, first + 150, FRAMES - 1):
        run_s = min((frame - first) / 30, 6.0)
        value = float(np.interp(run_s, trace.time_s, trace.values))
        tick = ends["20"] + 6 + (value - 20) * per_unit
        assert pointer_x(scene, bench, frame) == pytest.approx(tick, abs=4)
        assert pointer_x(scene, bench, frame) == pytest.approx(scene.scale.at(value), abs=1.0)


@pytest.mark.parametrize("shape", SHAPES)
def test_the_digits_are_the_data_at_the_time_beside_them(
    bench: Bench, shape: tuple[int, int]
) -> None:
    """Read from pixels, value and highest are the trace's at and up to the time that is set."""
    scene = scene_with(bench, shape)
    trace = bench.results.repeats["alder", "cold"].median_run.traces["torque"]
    since = trace.time_s >= 0
    seen = set()
    for frame in range(30, FRAMES, 7):
        at_s = float(time_at(scene, frame))
        value, highest = numbers_at(scene, frame)
        assert value == fixed(float(np.interp(at_s, trace.time_s, trace.values)), 1)
        so_far = since & (trace.time_s <= at_s + 1e-9)
        assert highest == fixed(float(trace.values[so_far].max()), 1)
        seen.add(at_s)
    assert len(seen) > 20


@pytest.mark.parametrize("pace", ["live", "fit"])
def test_digits_change_seldom_enough_to_be_read(bench: Bench, pace: str) -> None:
    """At most five values a second, each at its place: nothing else on the card moves."""
    scene = scene_with(bench, pace=pace)
    shown = [scene.digits_s(frame) for frame in range(FRAMES)]
    changes = [n for n in range(1, FRAMES) if shown[n] != shown[n - 1]]
    apart = np.diff(changes[:-1])
    assert apart.min() >= 5
    rights = {
        rect.right
        for frame in range(40, FRAMES, 9)
        for text, rect in texts_at(scene, frame)
        if is_number(text) and rect.bottom - rect.top > 60
    }
    # Digits sit in cells of one width; a 1 has space at both its sides.
    assert max(rights) - min(rights) <= 16


def test_irregular_samples_are_held_at_a_constant_frame_rate(bench: Bench) -> None:
    """Case H34: 25 frames/s of samples at 0, 40, 95, 150, 260 ms, each held until the next.

    Source of the case: stackoverflow.com/questions/25073292.
    """
    with (CASES / "time_irregular_samples.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    time_s = np.array([float(row["t_ms"]) for row in rows]) / 1000
    values = np.array([float(row["v"]) for row in rows])
    results = results_with(time_s, values, length_s=0.26)
    content = content_with(results, between="step", refresh=25)
    where = stage(1920, 1080, frames=80, rate=25)
    scene, first = ReadoutScene(content, where, bench.style), begun(bench, content, where)
    read = [round(float(numbers_at(scene, first + n)[0])) for n in range(10)]
    assert read == [1, 2, 2, 3, 4, 4, 4, 5, 5, 5]
    columns = [pointer_column(scene, first + n) for n in range(10)]
    assert columns == [scene.column(value) for value in read]


def pointer_column(scene: ReadoutScene, frame: int) -> int:
    """Return where the last layer, the pointer, has its pin's middle."""
    layer = scene.layers(frame)[-1]
    return layer.left + 1


def test_an_interpolated_edge_is_no_sample_to_be_held() -> None:
    """Where the run begins and ends between two samples, a step holds the one before."""
    time_s, values = np.array([-0.5, 0.5, 1.5, 2.5]), np.array([10.0, 20.0, 30.0, 40.0])
    results = results_with(time_s, values, length_s=2.0)
    held = content_with(results, between="step").measured
    assert [held.at(t) for t in (0.0, 0.4, 0.5, 1.49, 2.0)] == [10.0, 10.0, 20.0, 20.0, 30.0]
    straight = content_with(results).measured
    assert straight.at(0.0) == pytest.approx(15.0)
    assert straight.at(2.0) == pytest.approx(35.0)


def test_a_gap_is_a_dash_without_a_pointer_and_what_was_held_stays(bench: Bench) -> None:
    """Inside a gap no number and no pin is seen, not the last value either; the highest stands."""
    time_s = np.arange(0, 6.001, 0.01)
    values = np.where((time_s > 2.0) & (time_s < 3.0), np.nan, 40 + 5 * np.sin(time_s))
    content = content_with(results_with(time_s, values), title="Alder")
    where = stage(1920, 1080, frames=FRAMES)
    scene, first = ReadoutScene(content, where, bench.style), begun(bench, content, where)
    inside, behind = first + 75, first + 120
    assert numbers_at(scene, inside) == [fixed(float(np.nanmax(values)), 1)]
    assert "–" in [text for text, _ in texts_at(scene, inside)]
    assert pointer_x(scene, bench, inside) is None
    assert pointer_x(scene, bench, behind) is not None
    assert len(numbers_at(scene, behind)) == 2
    assert "No value from 2 s to 3 s" in Readout.describe(content)


def test_nothing_is_measured_before_the_trigger(bench: Bench) -> None:
    """Until time 0 there is no number, no dash and no mark; at time 0 the value is there."""
    content, where = content_with(bench.results), stage(1920, 1080, frames=FRAMES)
    scene, first = ReadoutScene(content, where, bench.style), begun(bench, content, where)
    before = [text for text, _ in texts_at(scene, first - 1)]
    assert "at" not in before
    assert "–" not in before
    assert numbers_at(scene, first - 1) == []
    assert len(numbers_at(scene, first)) == 2
    assert time_at(scene, first) == "0.0"


def test_a_record_that_ends_early_has_no_value_at_the_end(bench: Bench) -> None:
    """Half a second short of the run there is none; one step short is the end of the record."""
    time_s = np.arange(0, 6.001, 0.01)
    short = time_s <= 5.5
    content = content_with(results_with(time_s[short], time_s[short] + 10))
    assert content.measured.at(6.0) is None
    assert content.values == ("15.5",)
    scene = ReadoutScene(content, stage(1280, 720, frames=FRAMES), bench.style)
    assert "–" in [text for text, _ in texts_at(scene, FRAMES - 1)]
    assert "At 6 s: no value" in Readout.describe(content)
    nearly = content_with(results_with(time_s[:-1], time_s[:-1] + 10))
    assert nearly.measured.at(6.0) == pytest.approx(15.99)


def test_the_highest_is_the_figure_that_it_is(bench: Bench) -> None:
    """Where the session has the highest value as a figure, the last frame shows that number."""
    made = bench.results
    spec = PeakFigure(label="peak", take="peak", test="cold", places=2)
    run = made.repeats["alder", "cold"].median_run
    value, _ = take(spec, View(run.traces, 6.0))
    figure = replace(
        made.figures["mean", "alder"], figure="top", value=value, places=2, shown=fixed(value, 2)
    )
    whole = made.session.spec
    session = replace(
        made.session,
        spec=whole.model_copy(update={"figures": {**whole.figures, "top": spec}}),
    )
    results = replace(made, session=session, figures={**made.figures, ("top", "alder"): figure})
    content = content_with(results)
    assert content.figures == (("top", "alder"),)
    scene = ReadoutScene(content, stage(1920, 1080, frames=FRAMES), bench.style)
    assert numbers_at(scene, FRAMES - 1) == [content.values[0], figure.shown]
    assert content_with(results, hold="lowest").figures == ()
    assert content_with(results, hold="off").figures == ()


def test_a_figure_comes_when_the_run_is_over(bench: Bench) -> None:
    """It is not there while the run is read, and stands at the end as everywhere else."""
    scene = scene_with(bench, figure="mean")
    assert "70.2" not in numbers_at(scene, 150)
    assert numbers_at(scene, FRAMES - 1)[-1] == "70.2"
    assert scene_with(bench, figure="mean", hold="off").frames == FRAMES


def test_what_must_be_said_beside_a_figure_is(bench: Bench) -> None:
    """A figure of fewer runs than planned says so, on screen and in words."""
    content = content_with(bench.results, entry="dune", figure="mean")
    scene = ReadoutScene(content, stage(1920, 1080, frames=FRAMES), bench.style)
    assert "cold stop, 2 of 3 runs" in [text for text, _ in texts_at(scene, FRAMES - 1)]
    assert "cold stop, 2 of 3 runs: -53.7 N·m" in Readout.describe(content)


def test_numbers_have_the_decimal_mark_of_the_session(bench: Bench) -> None:
    """Value, highest, times and the rule are set with a comma where the session has one."""
    where = replace(stage(1920, 1080, frames=FRAMES), decimal_mark=",")
    scene = ReadoutScene(content_with(bench.results), where, bench.style)
    texts = [text for text, _ in texts_at(scene, FRAMES - 1)]
    assert {"62,5", "6,0", "1,4"} <= set(texts)
    assert not any("." in text for text in texts)


def test_a_lowest_value_below_zero_is_held_with_its_minus(bench: Bench) -> None:
    """Held downwards, the mark stands at the lowest value; a true minus is set before it."""
    time_s = np.arange(0, 6.001, 0.01)
    results = results_with(time_s, 3 - 8 * np.sin(time_s / 2))
    content = content_with(results, hold="lowest")
    scene = ReadoutScene(content, stage(1920, 1080, frames=FRAMES), bench.style)
    assert content.values[1] == "-5.0"
    assert numbers_at(scene, FRAMES - 1)[1] == f"{MINUS}5.0"
    assert numbers_at(scene_with(bench, hold="off"), FRAMES - 1) == ["62.5"]


def test_it_is_in_step_with_curves_that_begin_with_it(bench: Bench) -> None:
    """A time of the run falls on the same frame of curves and readout of one length."""
    readout = content_with(bench.results)
    curves = content_of(bench.results, "curves", test="cold")
    where = stage(1920, 1080, frames=FRAMES)
    for run_s in (0.0, 0.5, 2.0, 5.99):
        frames = {
            Readout.frame_at(readout, where, bench.style, run_s),
            Curves.frame_at(curves, where, bench.style, run_s),  # type: ignore[arg-type]
        }
        assert len(frames) == 1


@pytest.mark.parametrize("shape", [*SHAPES, (3840, 2160), (640, 360)])
def test_texts_keep_apart_whatever_they_say(bench: Bench, shape: tuple[int, int]) -> None:
    """Seven digits, a long name and a figure: no text lies over another, none leaves the area."""
    time_s = np.arange(0, 6.001, 0.01)
    results = results_with(time_s, 1e6 * np.sin(time_s))
    content = content_with(results, figure="mean", title="A rather long-winded product name, two")
    where = stage(*shape, frames=FRAMES)
    scene = ReadoutScene(content, where, bench.style)
    assert overlapping(scene, FRAMES - 1) == []
    safe = Page(*shape, bench.style).graphics
    for layer in scene.layers(FRAMES - 1):
        assert layer.covers.meet(safe) == layer.covers


def test_a_constant_trace_has_a_rule(bench: Bench) -> None:
    """A value that never changes stands somewhere on its rule."""
    time_s = np.arange(0, 6.001, 0.01)
    content = content_with(results_with(time_s, np.full(len(time_s), 20.0)))
    scene = ReadoutScene(content, stage(1280, 720, frames=FRAMES), bench.style)
    assert numbers_at(scene, FRAMES - 1)[0] == "20.0"
    assert scene.scale.low < 20.0 < scene.scale.high


def test_a_run_that_is_not_there_is_told_with_its_option(bench: Bench) -> None:
    """The error names the option entry; one of a cue too short for the run names the pace."""
    results = replace(bench.results, repeats={})
    with pytest.raises(OutlineError) as caught:
        content_with(results)
    assert (caught.value.code, caught.value.field) == ("no-run", "entry")
    content = content_with(bench.results)
    with pytest.raises(OutlineError) as caught:
        kinds()["readout"].check_length(content, stage(480, 270, frames=90))
    assert (caught.value.code, caught.value.field) == ("cue-too-short", "pace")


traces = st.lists(
    st.tuples(st.floats(0.01, 1.0), st.one_of(st.floats(-99, 99), st.just(float("nan")))),
    min_size=2,
    max_size=12,
).filter(lambda steps: any(np.isfinite(value) for _, value in steps))


@given(steps=traces, at_s=st.floats(0, 12), step=st.booleans(), lowest=st.booleans())
def test_readings_agree_with_looking_at_every_sample(
    steps: list[tuple[float, float]], at_s: float, *, step: bool, lowest: bool
) -> None:
    """At any time value and extreme are what a plain search through the samples finds."""
    time_s = np.cumsum([gap for gap, _ in steps])
    values = np.array([value for _, value in steps])
    line = replace(BASE.line, time_s=time_s, values=values)
    content = replace(
        BASE,
        curve=replace(BASE.curve, lines=(line,)),
        between="step" if step else "straight",
        hold="lowest" if lowest else "highest",
    )
    measured = Measured(content)
    value = plainly(time_s, values, min(at_s, float(time_s[-1])), step=step)
    if at_s <= time_s[-1]:
        assert measured.at(at_s) == (None if value is None else pytest.approx(value))
    passed = [v for t, v in zip(time_s, values, strict=True) if t <= at_s and np.isfinite(v)]
    now = measured.at(at_s)
    passed += [] if now is None else [now]
    held = measured.held(at_s)
    if not passed:
        assert held is None
    else:
        assert held is not None
        assert held[0] == (min(passed) if lowest else max(passed))


BASE = content_with(make_results())


def plainly(time_s: FloatArray, values: FloatArray, at_s: float, *, step: bool) -> float | None:
    """Read a trace at a time by walking along it."""
    for i in range(len(time_s)):
        if time_s[i] == at_s:
            return float(values[i]) if np.isfinite(values[i]) else None
        if i + 1 < len(time_s) and time_s[i] < at_s < time_s[i + 1]:
            if not np.isfinite(values[i : i + 2]).all():
                return None
            share = (at_s - time_s[i]) / (time_s[i + 1] - time_s[i])
            return float(values[i] if step else values[i] + share * (values[i + 1] - values[i]))
    return None
