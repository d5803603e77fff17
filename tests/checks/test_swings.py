"""Counting opposing swings, against an exhaustive search written from the definition."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.checks.flash_definitions import DEFINITIONS, states_of
from overlays.checks.second_counter import Mask
from overlays.checks.swings import Signal, SwingCounter

ALL = (slice(None), slice(None))


def tenth(before: Signal, after: Signal) -> Mask:
    large = np.abs(after[0] - before[0]) >= 0.1 - 1e-6
    return np.asarray(large & (np.minimum(before[0], after[0]) < 0.8 - 1e-6), bool)


def counted(values: list[float], *, window_frames: int = 100, limit: int = 8) -> SwingCounter:
    counter = SwingCounter((1, 1, 1), rows=1, window_frames=window_frames, limit=limit, large=tenth)
    for index, value in enumerate(values):
        part = (ALL, np.full((1, 1, 1, 1), value, np.float32))
        if index == 0:
            counter.begin([part])
        else:
            counter.update([part])
    return counter


def longest_alternation(values: list[float]) -> int:
    """Return the most alternating large changes that any choice of frames shows."""
    best = {True: [0] * len(values), False: [0] * len(values)}
    for later, b in enumerate(values):
        for earlier in range(later):
            a = values[earlier]
            if abs(b - a) >= 0.1 - 1e-6 and min(a, b) < 0.8 - 1e-6:
                rising = b > a
                best[rising][later] = max(best[rising][later], best[not rising][earlier] + 1)
    return max(best[True] + best[False])


@given(st.lists(st.integers(0, 40).map(lambda n: n / 40), min_size=1, max_size=24))
def test_swings_are_as_many_as_any_choice_of_frames_shows(values: list[float]) -> None:
    """The running count equals the longest alternation found by trying everything."""
    assert counted(values).most[0] == longest_alternation(values)


def test_a_fade_is_one_swing_however_long() -> None:
    """A monotone rise in small steps counts once."""
    assert counted([n / 50 for n in range(51)]).most[0] == 1


def test_swings_a_second_apart_do_not_count_together() -> None:
    """Four swings at frames 1, 6, 11, 16 are four within 16 frames and three within 15."""
    values = [0.0] + [1.0] * 5 + [0.0] * 5 + [1.0] * 5 + [0.0] * 5
    assert counted(values, window_frames=16).most[0] == 4
    assert counted(values, window_frames=15).most[0] == 3


def test_a_cell_over_the_limit_stays_so_for_a_second() -> None:
    """A cell that went over the limit counts with others that do so within the same second."""
    counter = SwingCounter((1, 1, 2), rows=1, window_frames=5, limit=2, large=tenth)
    counter.begin([(ALL, np.zeros((1, 1, 1, 2), np.float32))])
    left = (slice(0, 1), slice(0, 1))
    assert not counter.update([(left, np.full((1, 1, 1, 1), 1, np.float32))])[0]
    assert counter.update([(left, np.full((1, 1, 1, 1), 0, np.float32))])[0]
    seen = []
    for _ in range(5):
        counter.update([])
        seen.append(counter.over(0).tolist())
    assert seen == [[[True, False]]] * 4 + [[[False, False]]]


def test_a_region_given_twice_counts_once() -> None:
    """Overlapping regions of one frame do not make a swing two."""
    counter = SwingCounter((1, 2, 2), rows=1, window_frames=10, limit=2, large=tenth)
    counter.begin([(ALL, np.zeros((1, 1, 2, 2), np.float32))])
    bright = np.ones((1, 1, 2, 2), np.float32)
    counter.update([(ALL, bright), ((slice(0, 1), slice(0, 2)), bright[..., :1, :])])
    assert counter.most[0] == 1


def test_a_sudden_change_counts_where_the_turning_point_hides_it() -> None:
    """From red to black is a swing also where a brighter orange was the turning point."""
    black, red, orange = (0.0, 0.0, 0.0), (0.3, 0.0, 0.0), (0.45, 0.13, 0.0)
    definition = DEFINITIONS[1]
    counter = SwingCounter(
        (1, 1, 1), rows=definition.rows, window_frames=10, limit=2, large=definition.large
    )
    light = np.array([black, red, orange, red, black], np.float32)[:, None, None, None]
    parts = [(ALL, states_of(frame)[1]) for frame in light]
    counter.begin(parts[:1])
    for part in parts[1:]:
        counter.update([part])
    assert counter.most[0] == 2


@pytest.mark.parametrize("window", [1, 7])
def test_memory_is_bounded_by_the_window(window: int) -> None:
    """However many frames pass, no more than a second of them is remembered."""
    counter = counted([n % 2 for n in range(300)], window_frames=window)
    assert len(counter._seconds._past) == window
    assert counter.most[0] == window


def test_layers_are_counted_apart() -> None:
    """What swings in one layer does not count in another."""
    counter = SwingCounter((2, 1, 1), rows=1, window_frames=10, limit=2, large=tenth)
    counter.begin([(ALL, np.zeros((1, 2, 1, 1), np.float32))])
    states = [np.array(pair, np.float32).reshape(1, 2, 1, 1) for pair in ((1, 0), (0, 0), (1, 1))]
    hits = [counter.update([(ALL, state)]).tolist() for state in states]
    assert hits == [[False, False], [True, False], [True, False]]
    assert counter.most.tolist() == [3, 1]
    assert [counter.over(layer).item() for layer in (0, 1)] == [True, False]
