"""The most important test: curves read back from decoded clips agree with the data."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from overlays.checks.decoding import decode
from overlays.checks.truth import read_back
from overlays.draw.canvas import draw_alone, draw_range
from overlays.kinds._curve_content import CurvesContent
from overlays.kinds._curves_scene import CurvesScene
from overlays.model.clip import CODECS
from overlays.render.codecs.base import FileSpec
from overlays.render.codecs.registry import codec_named
from overlays.style.house import load_style
from tests.kinds.conftest import RATE_HZ, content_of, make_results, stage

# Frames of the overlay that are written: a moment early in the run, three in it, and the end.
MOMENTS = (40, 90, 140, 200, 299)


@pytest.mark.parametrize("style", ["rule", "paper"])
@pytest.mark.parametrize("codec", sorted(set(CODECS) - {"png"}))
def test_decoded_curves_agree_with_the_trace(tmp_path: Path, codec: str, style: str) -> None:
    """At five moments the decoded ink lies within a pixel of the conditioned trace."""
    results = make_results()
    content = content_of(
        results,
        "curves",
        test="cold",
        gap=["alder", "dune"],
        gap_at="3 s",
        spread=True,
        before=["basalt 1"],
        peak=["alder"],
    )
    assert isinstance(content, CurvesContent)
    where = stage(640, 360)
    scene = CurvesScene(content, where, load_style(style))
    spec = FileSpec(width=640, height=360, rate=where.rate, timecode="01:00:00:00")
    path = tmp_path / f"curves{CODECS[codec]}"
    writer = codec_named(codec).open(path, spec)
    for pixels, changed in draw_range(scene, MOMENTS):
        writer.add(pixels, changed)
    writer.finish()
    traces = {
        entry: repeats.median_run.traces["torque"]
        for (entry, _), repeats in results.repeats.items()
    } | {"basalt 1": results.repeats["basalt", "cold"].runs[0].traces["torque"]}
    readings = [
        reading
        for index, pixels in decode(path)
        for reading in read_back(scene, MOMENTS[index], pixels, traces)
    ]
    assert len(readings) == 5 * len(MOMENTS)
    assert sum(reading.columns for reading in readings) > 800
    assert max(reading.worst_px for reading in readings) <= 1.0
    assert sum(reading.stray for reading in readings) == 0


def test_a_curve_a_pixel_and_a_half_off_is_found() -> None:
    """The reading is fine enough to tell a pixel and a half, and says where and by how much."""
    results = make_results()
    content = content_of(results, "curves", test="cold", entries=["basalt"])
    assert isinstance(content, CurvesContent)
    scene = CurvesScene(content, stage(640, 360), load_style("rule"))
    trace = results.repeats["basalt", "cold"].median_run.traces["torque"]
    ((pixels, _),) = list(draw_range(scene, [299]))
    off = 1.5 / scene.axes.value.px_per_unit
    moved = replace(trace, values=trace.values + np.where(trace.time_s > 4.0, off, 0.0))
    (reading,) = read_back(scene, 299, pixels, {"basalt": moved})
    assert 1.2 <= reading.worst_px <= 1.8
    assert reading.worst_value == pytest.approx(off, rel=0.25)
    assert reading.at_s > 4.0 - 2 / RATE_HZ


def test_nothing_is_read_before_the_data() -> None:
    """While only axes come in there is nothing to read."""
    results = make_results()
    content = content_of(results, "curves", test="cold")
    assert isinstance(content, CurvesContent)
    scene = CurvesScene(content, stage(640, 360), load_style("rule"))
    ((pixels, _),) = list(draw_range(scene, [3]))
    assert read_back(scene, 3, pixels, {}) == ()


def test_a_dashed_curve_that_lacks_more_than_its_dashes_is_found() -> None:
    """What a dash leaves bare is right; a stretch left out of the picture is not."""
    results = make_results()
    content = content_of(results, "curves", test="cold", entries=["basalt"])
    assert isinstance(content, CurvesContent)
    trace = results.repeats["basalt", "cold"].median_run.traces["torque"]
    scene = CurvesScene(content, stage(1280, 720), load_style("rule"))
    assert scene.curves[0].dash
    (whole,) = read_back(scene, 299, draw_alone(scene, 299), {"basalt": trace})
    assert whole.worst_px <= 1.0
    line = content.lines[0]
    holed = np.where((line.time_s > 3.0) & (line.time_s < 3.2), np.nan, line.values)
    lacking = CurvesScene(
        replace(content, lines=(replace(line, values=holed),)),
        stage(1280, 720),
        load_style("rule"),
    )
    (reading,) = read_back(scene, 299, draw_alone(lacking, 299), {"basalt": trace})
    assert reading.worst_px == float("inf")
    assert 3.0 < reading.at_s < 3.2
