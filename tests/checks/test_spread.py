"""Bands read back from the picture agree with the repeats; bands that lie are found out."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from overlays.checks.pictures import judge_curves
from overlays.checks.spread import Spread, SpreadReading, read_spreads
from overlays.draw.canvas import draw_alone
from overlays.draw.patch import Pixels
from overlays.kinds._curve_content import CurvesContent
from overlays.kinds._curves_scene import CurvesScene
from overlays.kinds._traces import Band
from overlays.style.house import load_style
from tests.kinds.conftest import content_of, make_repeats, make_results, stage

FRAME = 299


@cache
def content() -> CurvesContent:
    """Two entries whose repeats lie four percent apart."""
    repeats = {}
    for entry in ("alder", "dune"):
        whole = make_repeats(entry)
        runs = []
        for index, run in enumerate(whole.runs):
            trace = run.traces["torque"]
            lies = replace(trace, values=trace.values * (1 + 0.04 * (index - 1)))
            runs.append(replace(run, traces={"torque": lies}))
        repeats[entry, "cold"] = replace(whole, runs=tuple(runs))
    found = content_of(make_results(repeats=repeats), "curves", test="cold", spread=True)
    assert isinstance(found, CurvesContent)
    return found


def scene_of(shown: CurvesContent, style: str = "rule") -> CurvesScene:
    return CurvesScene(shown, stage(1280, 720), load_style(style))


@cache
def pixels_of(style: str = "rule") -> Pixels:
    return draw_alone(scene_of(content(), style), FRAME)


def spreads(*, wider: float = 1.0, higher: float = 0.0) -> dict[str, Spread]:
    found = {}
    for line in content().lines:
        assert line.band is not None
        middle = (line.band.low + line.band.high) / 2
        half = (line.band.high - line.band.low) / 2 * wider
        found[line.key] = Spread(line.band.time_s, middle - half + higher, middle + half + higher)
    return found


def read(wanted: dict[str, Spread], style: str = "rule") -> tuple[SpreadReading, ...]:
    return read_spreads(scene_of(content(), style), FRAME, pixels_of(style), wanted)


@pytest.mark.parametrize("style", ["rule", "paper"])
def test_true_bands_are_read_as_true(style: str) -> None:
    """Nearly all edges that can be read lie within a pixel of the envelope of the repeats."""
    readings = read(spreads(), style)
    assert [reading.curve for reading in readings] == ["alder", "dune"]
    for reading in readings:
        assert reading.edges > 100
        assert reading.off <= 0.1 * reading.edges


@pytest.mark.parametrize("lie", [{"wider": 1.4}, {"wider": 0.6}, {"higher": 1.0}, {"higher": -1.0}])
def test_bands_that_lie_are_found_out(lie: dict[str, float]) -> None:
    """A band too wide, too narrow or a newton metre off is off at most of its edges."""
    readings = read(spreads(**lie))
    assert len(readings) == 2
    assert all(reading.off > 0.5 * reading.edges for reading in readings)


def test_a_missing_band_is_found_out() -> None:
    """Where curves are drawn without it, its edges are not there."""
    bare = replace(content(), lines=tuple(replace(line, band=None) for line in content().lines))
    scene = scene_of(content())
    pixels = draw_alone(scene_of(bare), FRAME)
    readings = read_spreads(scene, FRAME, pixels, spreads())
    assert len(readings) == 2
    assert all(reading.off == reading.edges > 100 for reading in readings)


def test_a_band_past_its_head_is_not_asked_for() -> None:
    """Half-way through the run only what is drawn is read, and that is true."""
    scene, frame = scene_of(content()), 110
    readings = read_spreads(scene, frame, draw_alone(scene, frame), spreads())
    assert all(reading.edges > 30 for reading in readings)
    assert all(reading.off <= 0.1 * reading.edges for reading in readings)
    assert read_spreads(scene, 3, draw_alone(scene, 3), spreads()) == ()


def test_a_clip_whose_band_lies_fails_the_check_of_curves() -> None:
    """The finding names the entry; the true band passes."""
    scene = scene_of(content())
    good = judge_curves(scene, content(), pixels_of(), overlay_frame=FRAME, frame=0)
    assert good is not None
    assert good.verdict == "pass"
    lines = []
    for line in content().lines:
        assert line.band is not None
        off = Band(line.band.time_s, line.band.low - 1.5, line.band.high + 1.5, line.band.n)
        lines.append(replace(line, band=off))
    lying = replace(content(), lines=tuple(lines))
    bad = judge_curves(scene, lying, pixels_of(), overlay_frame=FRAME, frame=0)
    assert bad is not None
    assert bad.verdict == "fail"
    assert "the spread of 'alder'" in bad.message


def test_a_gap_in_a_repeat_is_no_edge() -> None:
    """Where one repeat has no samples there is no band, and nothing to read."""
    holed = {}
    for key, spread in spreads().items():
        gap = (spread.time_s > 2) & (spread.time_s < 4)
        low, high = (np.where(gap, np.nan, part) for part in (spread.low, spread.high))
        holed[key] = Spread(spread.time_s, low, high)
    whole, fewer = read(spreads()), read(holed)
    assert all(a.edges > b.edges + 30 for a, b in zip(whole, fewer, strict=True))
