"""When things happen on curves: every frame has its time, and nothing is cut off."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overlays.kinds._curve_content import CurvesContent, Gap, Pause, Reading
from overlays.kinds._curve_timing import timing
from overlays.style.house import load_style
from tests.kinds.conftest import content_of, make_results, stage

STYLE = load_style("rule")


def content() -> CurvesContent:
    found = content_of(make_results(), "curves", test="cold", pace="fit")
    assert isinstance(found, CurvesContent)
    return found


CONTENT = content()


@settings(max_examples=150, deadline=None)
@given(
    frames=st.integers(12, 900),
    gaps=st.integers(0, 4),
    hold_s=st.floats(0.1, 20),
    paused=st.booleans(),
    in_turn=st.booleans(),
    reads=st.booleans(),
)
def test_stages_follow_one_another_and_end_in_time(
    *, frames: int, gaps: int, hold_s: float, paused: bool, in_turn: bool, reads: bool
) -> None:
    """Whatever is asked for, stages do not overlap, the run is whole, and all ends in time."""
    asked = replace(
        CONTENT,
        gaps=tuple(Gap(0, 1, 1.0 + n, (50.0, 60.0), "a verdict") for n in range(gaps)),
        pause=Pause(3.0, hold_s) if paused and not in_turn else None,
        in_turn=in_turn,
        reading=Reading(1.0, 4.0) if reads else None,
        inset=(1.0, 2.0),
    )
    found = timing(asked, stage(480, 270, frames=frames), style=STYLE)
    moves = [found.panel, found.axes, found.data, *found.steps]
    for before, after in pairwise(moves):
        assert before.end <= after.first
        assert after.frames >= 1
    assert moves[-1].end <= frames
    turns = range(4 if in_turn else 1)
    for turn in turns:
        shown = [found.elapsed_s(frame, turn) for frame in range(frames)]
        assert shown == sorted(shown)
        assert shown[-1] == asked.length_s


@given(run_s=st.floats(0.01, 6.0), turn=st.integers(0, 3), paused=st.booleans())
def test_a_time_is_found_on_the_first_frame_that_shows_it(
    run_s: float, turn: int, *, paused: bool
) -> None:
    """The frame of a time shows the run at least so far, and the one before it does not."""
    in_turn = not paused
    asked = replace(CONTENT, in_turn=in_turn, pause=Pause(3.0, 1.0) if paused else None)
    found = timing(asked, stage(480, 270, frames=420), style=STYLE)
    index = turn if in_turn else 0
    frame = found.frame_at(run_s, index)
    assert found.elapsed_s(frame, index) >= run_s - 1e-5
    if frame > found.data.first:
        assert found.elapsed_s(frame - 1, index) < run_s + 1e-5


def test_several_steps_have_rests_between_them() -> None:
    """In a long cue each of several gaps stands for a while before the next one comes."""
    gaps = tuple(Gap(0, 1, 1.0 + n, (50.0, 60.0)) for n in range(3))
    found = timing(replace(CONTENT, gaps=gaps), stage(480, 270, frames=450), style=STYLE)
    rests = [b.first - a.end for a, b in pairwise(found.steps)]
    assert min(rests) >= 0.8 * 30


def test_a_verdict_is_given_time_to_be_read() -> None:
    """The same cue with words to read draws faster and looks longer at the end."""
    plain = replace(CONTENT, gaps=(Gap(0, 1, 1.0, (50.0, 60.0)),))
    judged = replace(CONTENT, gaps=(Gap(0, 1, 1.0, (50.0, 60.0), "beyond chance"),))
    looks = []
    for asked in (plain, judged):
        found = timing(asked, stage(480, 270, frames=300), style=STYLE)
        looks.append(300 - found.steps[-1].end)
    assert looks[1] - looks[0] == pytest.approx(1.5 * 30, abs=2)
