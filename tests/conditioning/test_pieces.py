from __future__ import annotations

from itertools import pairwise

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from overlays.conditioning.pieces import by_piece, pieces


@given(st.lists(st.one_of(st.floats(-5, 5), st.just(float("nan"))), max_size=40))
def test_pieces_are_what_is_not_a_gap(values: list[float]) -> None:
    """Pieces hold every finite sample once, and are parted by gaps."""
    array = np.array(values)
    found = pieces(array)
    covered = [i for piece in found for i in range(piece.start, piece.stop)]
    assert covered == np.flatnonzero(np.isfinite(array)).tolist()
    assert all(a.stop < b.start for a, b in pairwise(found))


def test_work_does_not_cross_gaps() -> None:
    """Each piece is worked on alone, and a gap never becomes a number."""
    values = np.array([1.0, 2, np.nan, 5, 6, 7])
    np.testing.assert_array_equal(
        by_piece(values, np.cumsum), np.array([1.0, 3, np.nan, 5, 11, 18])
    )
