"""The picture of one place."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from PIL import Image

from overlays.turnover.look.lanes import MEASURED
from overlays.turnover.look.paper import BAD, INK, Paper
from overlays.turnover.look.plot import RUN_COLOURS, _apart, colour_of, draw_plot, plot_height
from overlays.turnover.look.seen import SeenPlace
from overlays.turnover.look.view import TestView

WIDTH = 400
SCALE = 3
Places = dict[str, SeenPlace]


def _drawn(view: TestView, place: SeenPlace, folder: Path) -> NDArray[np.int64]:
    paper = Paper(WIDTH, plot_height(view, WIDTH))
    draw_plot(paper, view, place, left=0, top=0, width=WIDTH, decimal_mark=",")
    target = folder / "plot.png"
    paper.write_png(target, scale=SCALE)
    with Image.open(target) as image:
        return np.asarray(image.convert("RGB"), dtype=np.int64)


def _near(pixels: NDArray[np.int64], colour: str, within: int = 12) -> NDArray[np.bool_]:
    rgb = np.array(tuple(bytes.fromhex(colour[1:])))
    return np.asarray((np.abs(pixels - rgb) <= within).all(axis=-1))


def _column(view: TestView, seconds: float) -> int:
    """Return the pixel column of a time: the axis runs from 40 to 26 before the right edge."""
    share = (seconds - view.start_s) / (view.end_s - view.start_s)
    return round(SCALE * (40 + share * (WIDTH - 66)))


def test_the_trigger_is_marked_at_zero(view: TestView, places: Places, tmp_path: Path) -> None:
    """A dark line stands through the whole height of both strips at time 0, and nowhere else."""
    dark = _near(_drawn(view, places["hemp"], tmp_path), INK).sum(axis=0)
    place = _column(view, 0.0)
    assert dark[place - 3 : place + 4].max() > SCALE * 240
    others = np.concatenate([dark[: place - 8], dark[place + 8 :]])
    assert others.max() < SCALE * 40


def test_windows_are_tinted_between_their_ends(
    view: TestView, places: Places, tmp_path: Path
) -> None:
    """At the foot of the upper strip: tinted from 1 s to 2 s, white just outside."""
    pixels = _drawn(view, places["jute"], tmp_path)
    tint = "#f4e4c6"  # 30 % of the tint over white
    rows = _near(pixels, tint).sum(axis=1)
    row = int(np.argmax(rows))
    tinted = _near(pixels[row], tint)
    for seconds, expected in ((0.95, False), (1.05, True), (1.95, True), (2.05, False)):
        assert bool(tinted[_column(view, seconds)]) is expected, seconds
    assert _near(pixels, MEASURED).any()


def test_the_median_is_bold_and_a_left_out_run_dashed(
    view: TestView, places: Places, tmp_path: Path
) -> None:
    """The median's line is about twice as thick; the left-out one is broken, in its own colour."""
    pixels = _drawn(view, places["sisal"], tmp_path)
    (median,) = (seen for seen in places["sisal"].runs if seen.median)
    inside = pixels[: SCALE * 230, _column(view, 0.8) : _column(view, 2.3)]
    median_pixels = _near(inside, colour_of(median)).sum(axis=0)
    assert np.median(median_pixels) >= 2 * SCALE - 1
    left_out = _near(pixels[: SCALE * 230, _column(view, 1.6) : _column(view, 2.8)], BAD, 30)
    columns = left_out.any(axis=0)
    assert 0.3 < columns.mean() < 0.9
    assert np.count_nonzero(np.diff(columns.astype(int)) == 1) > 5


def test_a_gap_breaks_the_line_and_is_marked_at_the_foot(
    view: TestView, places: Places, tmp_path: Path
) -> None:
    """Sisal's run 2 has nothing around 2.8 s: no line there, and a bar on the axis of time."""
    run = places["sisal"].runs[1]
    alone = replace(places["sisal"], runs=(run,))
    line = _near(_drawn(view, alone, tmp_path), colour_of(run))[: SCALE * 240]
    at_gap = np.flatnonzero(line[:, _column(view, 2.85)])
    before = np.flatnonzero(line[:, _column(view, 2.3)])
    assert len(at_gap) > 0
    assert at_gap.min() > before.max() + SCALE * 50
    whole = replace(places["sisal"], runs=(places["sisal"].runs[0],))
    line = _near(_drawn(view, whole, tmp_path), colour_of(whole.runs[0]))[: SCALE * 240]
    assert np.flatnonzero(line[:, _column(view, 2.85)]).max() < at_gap.min()


def test_a_place_without_a_trace_is_drawn_empty(
    view: TestView, places: Places, tmp_path: Path
) -> None:
    """Jute's logs cannot be read: there are axes, and no line of any run's colour."""
    pixels = _drawn(view, places["jute"], tmp_path)
    for colour in (*RUN_COLOURS, BAD):
        assert not _near(pixels, colour, 4).any()


def test_left_out_runs_share_a_colour_and_used_ones_have_their_own(places: Places) -> None:
    """Three repeats are three colours; what is left out is told apart by one more."""
    colours = [colour_of(seen) for seen in places["hemp"].runs]
    assert len(set(colours)) == 3
    assert colour_of(places["sisal"].runs[2]) == BAD
    assert BAD not in RUN_COLOURS


@given(st.lists(st.floats(-50, 150), min_size=1, max_size=8))
def test_numbers_at_the_ends_keep_apart_and_in_order(wanted: list[float]) -> None:
    """12 pixels apart, within the strip, in the order of the ends; moved only where they must."""
    spots = _apart(np.array(sorted(wanted)), 0.0, 100.0, 12.0)
    assert all(b - a >= 12.0 - 1e-9 for a, b in pairwise(spots))
    assert min(spots) >= -1e-9
    assert max(spots) <= 100.0
    if len(wanted) == 1:
        assert spots == [min(max(wanted[0], 0.0), 100.0)]
