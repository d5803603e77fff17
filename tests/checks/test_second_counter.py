"""Events within a sliding second, against counting them anew."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.checks.second_counter import SecondCounter


@given(st.lists(st.sets(st.integers(0, 11)), max_size=40), st.integers(1, 9), st.integers(1, 4))
def test_counts_are_those_of_the_last_second(
    frames: list[set[int]], window: int, limit: int
) -> None:
    """Most, over and the frame at which a cell goes over are those of a plain recount."""
    counter = SecondCounter((1, 3, 4), window_frames=window, limit=limit)
    most = 0
    last_over: dict[int, int] = {}
    for number, events in enumerate(frames):
        went = counter.advance(np.array(sorted(events), np.intp))
        counts = {
            cell: sum(cell in seen for seen in frames[max(0, number - window + 1) : number + 1])
            for cell in range(12)
        }
        most = max(most, *counts.values())
        now_over = {cell for cell in events if counts[cell] >= limit}
        last_over |= dict.fromkeys(now_over, number)
        assert bool(went[0]) == bool(now_over)
        recent = {cell for cell, at in last_over.items() if at > number - window}
        assert set(np.flatnonzero(counter.over(0)).tolist()) == recent
    assert int(counter.most[0]) == most


@pytest.mark.parametrize("share", [0.001, 0.5])
def test_layers_are_counted_apart(share: float) -> None:
    """Few events or many, each layer knows its own; how they are kept does not matter."""
    counter = SecondCounter((2, 50, 60), window_frames=5, limit=3)
    random = np.random.default_rng(3)
    for _ in range(12):
        one = np.flatnonzero(random.random(3000) < share)
        counter.advance(one + 3000)
    assert not counter.over(0).any()
    assert int(counter.most[0]) == 0
    assert int(counter.most[1]) >= 1
