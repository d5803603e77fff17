"""The axes that the pictures of a test share."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from overlays.model.result import Results
from overlays.model.run import Run, RunRef
from overlays.turnover.look.seen import SeenPlace, SeenRun
from overlays.turnover.look.view import TestView, gaps_in_view, in_view, own_view, view_of
from tests.scoring.building import session, trace

VALUES = st.lists(st.floats(-1e3, 1e3) | st.just(float("nan")), min_size=1, max_size=30)


def _seen(values: list[float], *, use: bool = True) -> SeenRun:
    ref = RunRef("ash", "hold", 1, Path("x"), "x", "" if use else "slipped", use)
    return SeenRun(ref, Run(ref, {"force": trace(values)}), (), {})


def test_the_axis_of_time_holds_the_test_its_windows_and_a_little_more(view: TestView) -> None:
    """From before the zero window to after the test's length."""
    assert view.start_s < -0.4
    assert 3.0 < view.end_s < 3.5
    assert view.triggered


def test_the_main_figures_channel_comes_first(view: TestView) -> None:
    """The main figure is a ratio of the pull; the way has a figure too, and comes second."""
    assert [(one.channel, one.label, one.unit) for one in view.channels] == [
        ("force", "pull", "N"),
        ("way", "way", "mm"),
    ]


def test_every_used_run_and_level_lies_within_the_axes(
    view: TestView, places: dict[str, SeenPlace]
) -> None:
    """Nothing of a used run leaves the picture, in any place of the test."""
    for place in places.values():
        for seen in place.runs:
            for channel in view.channels if seen.run and seen.ref.use else ():
                assert seen.run is not None
                _, values = in_view(seen.run.traces[channel.channel], view.start_s, view.end_s)
                assert np.nanmin(values) > channel.low
                assert np.nanmax(values) < channel.high
    assert view.channels[0].low < 20 < view.channels[0].high


def test_a_wild_left_out_run_does_not_squash_the_others() -> None:
    """A used run from 0 to 10 and a left-out one up to 1000 give an axis to about 15."""
    runs = (_seen([0.0, 10.0, 5.0]), _seen([0.0, 1000.0, 0.0], use=False))
    (channel,) = view_of(session().spec, "hold", [SeenPlace("ash", "hold", runs)]).channels
    assert 15.0 <= channel.high < 16.0
    (channel,) = view_of(session().spec, "hold", [SeenPlace("ash", "hold", runs[1:])]).channels
    assert channel.high > 1000.0


def test_a_place_that_would_be_pressed_flat_has_its_own_axis() -> None:
    """Beside an entry up to 1000, one from 0 to 100 is a tenth: its own axis; at 500 it is not."""
    spec = session().spec
    tall = SeenPlace("ash", "hold", (_seen([0.0, 1000.0]),))
    for most, own in ((100.0, True), (500.0, False)):
        low = SeenPlace("birch", "hold", (_seen([0.0, most]),))
        view = view_of(spec, "hold", [tall, low])
        (channel,) = own_view(view, low).channels
        assert channel.own is own
        assert channel.high == (105.0 if own else 1050.0)
        assert own_view(view, tall) == view
        assert own_view(view, SeenPlace("ash", "hold", ())) == view


def test_without_runs_there_are_axes_all_the_same(results: Results) -> None:
    """A test that has not been run, and one whose only trace does not move."""
    (channel,) = view_of(results.session.spec, "rest", []).channels
    assert channel.low < channel.high
    flat = SeenPlace("ash", "hold", (_seen([7.0, 7.0]),))
    (channel,) = view_of(session().spec, "hold", [flat]).channels
    assert channel.low < 7.0 < channel.high


@given(VALUES, st.floats(-3, 33), st.floats(0, 20))
def test_gaps_lie_between_known_samples_that_hold_none(
    values: list[float], start_s: float, length_s: float
) -> None:
    """Each gap's ends are samples, all between are missing, and none in reach is passed over."""
    one = trace(values)
    gaps = gaps_in_view(one, start_s, start_s + length_s)
    time_s, seen = in_view(one, start_s, start_s + length_s)
    missing = {int(t) for t, v in zip(time_s, seen, strict=True) if np.isnan(v)}
    told = {t for a, b in gaps for t in range(int(a) + 1, int(b))}
    for a, b in gaps:
        assert np.isfinite([values[int(a)], values[int(b)]]).all()
    known = [int(t) for t, v in zip(time_s, seen, strict=True) if np.isfinite(v)]
    within = {t for t in missing if known and known[0] < t < known[-1]}
    assert told == within


@given(st.floats(-5, 35), st.floats(0, 40))
def test_what_is_in_view_reaches_to_its_edges(start_s: float, length_s: float) -> None:
    """One sample more on either side, so that the line runs to the edge; never a sample less."""
    one = trace(list(range(30)))
    time_s, values = in_view(one, start_s, start_s + length_s)
    inside = [t for t in range(30) if start_s <= t <= start_s + length_s]
    assert set(inside) <= set(time_s.tolist())
    assert len(time_s) <= len(inside) + 2
    assert (time_s == values).all()
