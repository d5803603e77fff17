"""Motion: something at once, all at the end, in order, and nothing overshoots."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from overlays.draw.motion import Move, eased, leaving, staged, wiped
from overlays.draw.patch import Layer, Patch, Rect


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


PANEL, LEFT, RIGHT = (
    Layer(Patch(np.full((10, width, 4), 255, np.uint8)), x, 0)
    for width, x in ((100, 0), (20, 10), (20, 60))
)


def test_what_leaves_goes_from_the_panel_first_and_the_panel_last() -> None:
    """Data from the far end, then the panel; each slowly at first, nothing on the last frame."""
    going = leaving((0.5, 0.5), Fraction(20), 99)
    assert going.frames == 20
    rests = [going.rest([PANEL, LEFT, RIGHT], frame) for frame in range(20)]
    assert all(rest[0] is PANEL for rest in rests[:10])
    ends = [max(layer.covers.right for layer in rest[1:]) for rest in rests[:9]]
    assert all(a >= b for a, b in pairwise(ends))
    assert ends[0] == 80
    steps = -np.diff([80, *ends])
    assert (steps[:4] <= steps[4:8]).all()
    assert [len(rest) for rest in rests[9:]] == [1] * 10 + [0]
    assert [rest[0].covers.right for rest in rests[17:19]] == sorted(
        (rest[0].covers.right for rest in rests[17:19]), reverse=True
    )


def test_data_may_leave_to_the_other_side() -> None:
    """Where the right end is to be seen at last, the left end goes first, and the panel as ever."""
    going = leaving((0.5, 0.5), Fraction(20), 99)
    panel, left, right = going.rest([PANEL, LEFT, RIGHT], 7, towards="right")
    assert panel is PANEL
    assert left.covers.empty
    assert right.covers == Rect(right.covers.left, 0, 80, 10)
    assert going.rest([PANEL], 14, towards="right")[0].covers.left == 0


def test_all_at_once_is_nothing_at_all() -> None:
    """Without lengths there is no frame on the way."""
    assert leaving((), Fraction(25), 1).rest([PANEL, LEFT], 0) == []


@given(
    lengths=st.tuples(st.floats(0, 2), st.floats(0, 2)),
    rate=st.sampled_from([Fraction(25), Fraction(30000, 1001), Fraction(60)]),
    most=st.integers(2, 200),
)
def test_leaving_fits_and_is_as_long_when_placed_again(
    lengths: tuple[float, float], rate: Fraction, most: int
) -> None:
    """It takes no more frames than there are, and those it takes are enough for it."""
    going = leaving(lengths, rate, most)
    assert 2 <= going.frames <= most
    assert leaving(lengths, rate, going.frames).frames == going.frames
    assert going.rest([PANEL, LEFT], going.frames - 1) == []
