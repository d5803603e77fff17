"""Motion: something at once, all at the end, in order, and nothing overshoots."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from overlays.draw.motion import Move, eased, staged, wiped
from overlays.draw.patch import Layer, Patch


@given(first=st.integers(0, 50), frames=st.integers(1, 200), pixels=st.integers(1, 2000))
def test_a_move_begins_at_once_and_ends_whole(first: int, frames: int, pixels: int) -> None:
    """Progress at frame i of N is (i + 1) / N; growth never goes back and ends exactly."""
    move = Move(first, frames)
    assert move.progress(first - 1) == 0
    assert move.progress(first) == 1 / frames
    assert move.progress(move.end - 1) == move.progress(move.end + 99) == 1
    grown = [move.grown(n, pixels) for n in range(first - 1, move.end + 1)]
    assert grown[0] == 0
    assert grown[1] >= 1
    assert grown[-2] == grown[-1] == pixels
    assert all(a <= b for a, b in pairwise(grown))


def test_easing_slows_down_and_never_overshoots() -> None:
    """Eased progress rises ever more slowly from 0 to 1."""
    values = np.array([eased(p) for p in np.linspace(0, 1, 50)])
    assert (values[0], values[-1]) == (0.0, 1.0)
    assert (np.diff(values) > 0).all()
    assert (np.diff(values, 2) < 0).all()
    assert (eased(-1), eased(2)) == (0.0, 1.0)


@given(
    lengths=st.lists(st.floats(0, 3), min_size=1, max_size=8),
    rate=st.sampled_from([Fraction(25), Fraction(30000, 1001), Fraction(60)]),
    frames=st.integers(8, 400),
)
def test_stages_follow_one_another(lengths: list[float], rate: Fraction, frames: int) -> None:
    """One thing moves at a time, each as long as asked where the cue allows, none left out."""
    moves = staged(lengths, rate, frames)
    assert len(moves) == len(lengths)
    assert moves[0].first == 0
    assert all(a.end == b.first for a, b in pairwise(moves))
    assert all(move.frames >= 1 for move in moves)
    assert moves[-1].end <= frames
    if sum(max(1.0, length * float(rate)) for length in lengths) <= frames:
        for move, length in zip(moves, lengths, strict=True):
            assert abs(move.frames - max(1.0, length * float(rate))) <= 1


def test_a_wipe_opens_from_the_left() -> None:
    """Layers that belong together are uncovered together."""
    patch = Patch(np.full((4, 10, 4), 255, np.uint8))
    layers = [Layer(patch, 0, 0), Layer(patch, 30, 2)]
    half = wiped(layers, Move(0, 10), 0)
    assert half[0] is layers[0]
    assert half[1].covers.empty
    assert wiped(layers, Move(0, 10), 9) == layers
