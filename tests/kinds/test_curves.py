"""Curves: the picture agrees with the data, flags stay readable, the gap is the gap."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from overlays.checks.truth import read_back
from overlays.draw.canvas import Canvas, draw_alone
from overlays.errors import OutlineError
from overlays.kinds._curve_content import CurvesContent
from overlays.kinds._curves_scene import CurvesScene
from overlays.kinds._traces import runs_text
from overlays.kinds.curves import Curves
from overlays.kinds.registry import build
from overlays.model.trace import Trace
from tests.kinds.conftest import (
    ENTRIES,
    Bench,
    content_of,
    cue,
    make_repeats,
    make_results,
    stage,
)


def scene_of(bench: Bench, width: int, height: int, **options: object) -> CurvesScene:
    content = content_of(bench.results, "curves", **{"test": "cold", **options})
    assert isinstance(content, CurvesContent)
    return CurvesScene(content, stage(width, height), bench.style)


def drawn_to(scene: CurvesScene, frame: int) -> float | None:
    return scene.drawn_to_s(frame, scene.curves[-1])


def traces_of(bench: Bench) -> dict[str, Trace]:
    return {
        entry: bench.results.repeats[entry, "cold"].median_run.traces["torque"] for entry in ENTRIES
    }


@pytest.mark.parametrize("shape", [(1280, 720), (607, 1080), (720, 720)])
@pytest.mark.parametrize("pace", ["live", "fit"])
def test_the_picture_tells_the_truth(bench: Bench, shape: tuple[int, int], pace: str) -> None:
    """At five moments every curve's ink lies within a pixel of the conditioned trace."""
    scene = scene_of(bench, *shape, pace=pace, gap=["alder", "dune"], gap_at="3 s")
    canvas, first = Canvas(scene), next(n for n in range(300) if drawn_to(scene, n) is not None)
    read = 0
    for frame in np.linspace(first + 20, 299, 5).astype(int).tolist():
        canvas.draw(frame)
        for reading in read_back(scene, frame, canvas.pixels, traces_of(bench)):
            assert reading.worst_px <= 1.0
            assert reading.stray == 0
            read += reading.columns
    assert read > 1500


def test_a_picture_that_lies_is_found_out(bench: Bench) -> None:
    """Data 2 % too high, late by 30 ms, or clipped is seen in the picture of the true data."""
    scene, truth = scene_of(bench, 1280, 720, entries=["alder"]), traces_of(bench)["alder"]
    pixels = draw_alone(scene, 299)
    false = (
        replace(truth, values=truth.values * 1.02),
        replace(truth, time_s=truth.time_s + 0.03),
        replace(truth, values=np.minimum(truth.values, 68.0)),
    )
    for lie in false:
        (reading,) = read_back(scene, 299, pixels, {"alder": lie})
        assert reading.worst_px > 1.0


def test_long_noisy_traces_are_drawn_within_a_pixel(bench: Bench) -> None:
    """30,000 samples of a noisy trace, reduced to columns, still lie where they belong."""
    rng = np.random.default_rng(5)
    time_s = np.arange(30_001) / 5_000
    values = 60 + 3 * rng.normal(size=len(time_s)).cumsum() / 50 + rng.normal(size=len(time_s))
    trace = Trace("torque", "N*m", time_s, values)
    repeats = make_repeats("alder")
    run = replace(repeats.runs[0], traces={"torque": trace})
    results = make_results(repeats={("alder", "cold"): replace(repeats, runs=(run,), median=0)})
    content = content_of(results, "curves", test="cold")
    assert isinstance(content, CurvesContent)
    scene = CurvesScene(content, stage(1280, 720), bench.style)
    (reading,) = read_back(scene, 299, draw_alone(scene, 299), {"alder": trace})
    assert reading.columns > 100
    assert reading.worst_px <= 1.0


def test_noise_about_zero_is_drawn_where_it_is(bench: Bench) -> None:
    """Samples a little under zero are drawn a little under the axis, not cut off."""
    time_s = np.arange(3001) / 500
    values = np.where(time_s < 3, 0.7 * np.sin(2 * np.pi * time_s), 60.0)
    trace = Trace("torque", "N*m", time_s, values)
    repeats = make_repeats("alder")
    runs = (replace(repeats.runs[0], traces={"torque": trace}),)
    results = make_results(repeats={("alder", "cold"): replace(repeats, runs=runs, median=0)})
    content = content_of(results, "curves", test="cold")
    assert isinstance(content, CurvesContent)
    scene = CurvesScene(content, stage(1920, 1080), bench.style)
    assert scene.axes.value.low == 0.0
    (reading,) = read_back(scene, 299, draw_alone(scene, 299), {"alder": trace}, most=2000)
    assert reading.columns > 500
    assert reading.worst_px <= 1.0


def test_live_pace_is_one_second_a_second(bench: Bench) -> None:
    """At live pace a second of frames shows a second of the run; progress is (i + 1) / N."""
    scene = scene_of(bench, 480, 270)
    shown = [drawn_to(scene, frame) for frame in range(300)]
    first = shown.index(next(s for s in shown if s is not None))
    assert shown[first] == pytest.approx(1 / 30)
    assert shown[first + 89] == pytest.approx(3.0)
    assert shown[first + 179] == pytest.approx(6.0)
    assert shown[-1] == 6.0


def test_flags_say_the_value_at_the_head(bench: Bench) -> None:
    """The number on a flag is the trace at the head's time, to the decimals shown."""
    scene = scene_of(bench, 480, 270)
    content = scene._content
    for data in (10, 60, 179):
        at_s = (data + 1) / 30
        for index, entry in enumerate(ENTRIES):
            trace = traces_of(bench)[entry]
            value = np.interp(at_s, trace.time_s, trace.values)
            assert abs(float(scene._text(data, index)) - value) <= 0.5 * 10**-content.places + 1e-9


def test_flags_end_in_order_of_value_and_apart(bench: Bench) -> None:
    """End values never overlap, and their order from top to bottom is that of the values."""
    for shape in ((1280, 720), (607, 1080), (720, 720)):
        scene = scene_of(bench, *shape)
        rects = [scene._flags.place_of(10_000, k) for k in range(4)]
        ends = [line.last for line in scene._content.lines]
        ordered = [rects[k] for k in np.argsort(ends)[::-1]]
        assert all(a.bottom <= b.top for a, b in pairwise(ordered))
        assert all(rect.right <= scene._rect.right and rect.bottom <= scene._rect.bottom
                   for rect in rects)  # fmt: skip


def test_flags_glide(bench: Bench) -> None:
    """From frame to frame a flag moves no more than its curve or half its height."""
    scene = scene_of(bench, 1280, 720)
    tops = np.array(
        [[scene._flags.place_of(n, k).top for k in range(4)] for n in range(scene._flags.frames)]
    )
    heads = scene._flags._heads.y
    own = max(scene._shape.height / 2, float(np.abs(np.diff(heads, axis=0)).max()))
    assert np.abs(np.diff(tops, axis=0)).max() < own


def test_a_gap_in_the_data_stays_open(bench: Bench) -> None:
    """Where samples are missing no line is drawn, and the flag shows a dash instead of a number."""
    repeats = make_repeats("alder")
    old = repeats.median_run.traces["torque"]
    values = old.values.copy()
    values[(old.time_s > 2.0) & (old.time_s < 3.0)] = np.nan
    holed = Trace("torque", "N*m", old.time_s.copy(), values)
    runs = tuple(replace(run, traces={"torque": holed}) for run in repeats.runs)
    results = make_results(repeats={("alder", "cold"): replace(repeats, runs=runs)})
    content = content_of(results, "curves", test="cold")
    assert isinstance(content, CurvesContent)
    scene = CurvesScene(content, stage(1280, 720), bench.style)
    pixels = draw_alone(scene, 299)
    assert scene._text(74, 0) == "–"
    (reading,) = read_back(scene, 299, pixels, {"alder": holed})
    assert reading.worst_px <= 1.0
    assert reading.stray == 0
    whole = scene_of(bench, 1280, 720, entries=["alder"])
    (bridged,) = read_back(whole, 299, draw_alone(whole, 299), {"alder": holed})
    assert bridged.stray > 100


def test_the_gap_is_the_difference_at_that_time(bench: Bench) -> None:
    """The figure called out is the difference of the two traces, and its line spans them."""
    scene = scene_of(bench, 1280, 720, gap=["alder", "dune"], gap_at="3 s")
    (gap,) = scene._content.gaps
    at = [np.interp(3.0, traces_of(bench)[e].time_s, traces_of(bench)[e].values)
          for e in ("alder", "dune")]  # fmt: skip
    assert gap.values == pytest.approx(at)
    # What a viewer gets from the two values as shown.
    assert float(gap.size(1)) == pytest.approx(abs(round(at[0], 1) - round(at[1], 1)))
    covers = scene._gaps[0].line.covers
    spanned = (covers.bottom - covers.top) / scene.axes.value.px_per_unit
    assert spanned == pytest.approx(float(gap.size(1)), abs=0.1 + 2 * scene.curves[0].width)
    assert f"{gap.size(1)} N·m apart" in Curves.describe(scene._content)


def test_a_cue_too_short_for_live_pace_is_refused(bench: Bench) -> None:
    """The error says how long the run needs, and the way out."""
    content = content_of(bench.results, "curves", test="cold")
    assert isinstance(content, CurvesContent)
    with pytest.raises(OutlineError, match=r"lasts 5\.00 s.*needs at least 6\.07 s") as caught:
        Curves.check_length(content, stage(480, 270, frames=150))
    assert 'pace = "fit"' in caught.value.remedy


@pytest.mark.parametrize(
    ("options", "code"),
    [
        ({"gap": ["alder", "alder"]}, "bad-gap"),
        ({"entries": ["alder", "dune"], "gap": ["alder", "cobble"]}, "bad-gap"),
        ({"gap": ["alder", "dune"], "gap_at": "8 s"}, "no-value-at"),
    ],
)
def test_an_impossible_gap_is_refused(bench: Bench, options: dict[str, object], code: str) -> None:
    """A gap needs two entries of the cue, and a time at which both were logged."""
    overlay = build(cue("curves", test="cold", **options), bench.results.session)
    with pytest.raises(OutlineError) as caught:
        overlay.content(bench.results)
    assert caught.value.code == code


def test_an_entry_without_a_run_is_refused() -> None:
    """An entry that has not run the test is named."""
    results = make_results(repeats={("alder", "cold"): make_repeats("alder")})
    overlay = build(cue("curves", test="cold", entries=["alder", "dune"]), results.session)
    with pytest.raises(OutlineError, match="no run of 'dune'"):
        overlay.content(results)


def test_the_caption_says_channel_runs_and_filter(bench: Bench) -> None:
    """The subtitle carries channel and unit, how many runs stand behind it, and every step."""
    content = content_of(bench.results, "curves", test="cold")
    assert isinstance(content, CurvesContent)
    assert content.caption == (
        "brake torque, N·m", "middle of three runs", "zeroed", "20 Hz zero-phase",
    )  # fmt: skip
    fewer = dict(bench.results.repeats) | {("dune", "cold"): make_repeats("dune", runs=2)}
    content = content_of(make_results(repeats=fewer), "curves", test="cold")
    assert isinstance(content, CurvesContent)
    assert content.caption[1] == "middle of two to three runs"


def test_the_cost_of_a_frame_does_not_grow_with_the_trace(bench: Bench) -> None:
    """As many layers and pixels change from frame to frame for 30,000 samples as for 600."""
    areas = []
    for rate_hz in (100, 5000):
        repeats = {("alder", "cold"): make_repeats("alder", rate_hz=rate_hz)}
        content = content_of(make_results(repeats=repeats), "curves", test="cold")
        assert isinstance(content, CurvesContent)
        scene = CurvesScene(content, stage(960, 540), bench.style)
        canvas, area = Canvas(scene), 0
        for frame in range(100, 160):
            rects = canvas.draw(frame)
            area += sum(rect.area for rect in rects) if frame > 100 else 0
        areas.append((area, len(scene.layers(160))))
    assert areas[0][1] == areas[1][1]
    assert areas[1][0] < 1.3 * areas[0][0]


@pytest.mark.parametrize(
    ("runs", "says"),
    [
        ([(1, "")], "one run"),
        ([(3, "")], "middle of three runs"),
        ([(3, ""), (3, ""), (5, "")], "middle of three to five runs"),
        ([(2, "lower middle of 2")], "lower of two runs"),
        ([(4, "lower middle of 4")], "lower of the middle two of four runs"),
        (
            [(3, ""), (2, "lower middle of 2")],
            "middle of three runs; where there are two, the lower",
        ),
        ([(3, "lower middle of 2, 1 of 3 without the main figure")], "one of three runs"),
        ([(2, "lower middle of 2"), (1, "")], "lower of two runs; one run"),
    ],
)
def test_viewers_are_told_in_plain_words_which_run_they_see(
    runs: list[tuple[int, str]], says: str
) -> None:
    """Nothing of medians: the middle one, or the lower where the middle lies between two."""
    several = [replace(make_repeats("dune", runs=n), remark=remark) for n, remark in runs]
    assert runs_text(several) == says
