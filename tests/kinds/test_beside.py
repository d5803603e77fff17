"""Labels stand beside their points, inside the plot and clear of each other."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from overlays.draw.patch import Rect
from overlays.kinds._beside import beside

PLOT = Rect(0, 0, 900, 600)
POINT = st.tuples(st.integers(40, 860), st.integers(40, 560))


@given(st.lists(POINT, min_size=1, max_size=12), st.integers(40, 180))
def test_labels_are_clear_of_each_other(points: list[tuple[int, int]], width: int) -> None:
    """Up to twelve labels of any points, however close, share no pixel and stay in the plot."""
    places = beside(points, [(width, 40)] * len(points), radius=8, inside=PLOT)
    for index, place in enumerate(places):
        assert place.meet(PLOT) == place
        assert all(place.meet(other).empty for other in places[:index])


def test_a_label_alone_stands_at_its_point() -> None:
    """Without neighbours a label lies right beside its point, not on it."""
    (place,) = beside([(400, 300)], [(100, 40)], radius=8, inside=PLOT)
    assert place.meet(Rect(392, 292, 408, 308)).empty
    assert 0 < place.left - 400 < 24
    assert 0 < 300 - place.bottom < 24


def test_a_line_is_avoided_where_that_costs_little() -> None:
    """A label turns to another side of its point rather than lie on a line."""
    line = Rect(400, 270, 900, 276)
    (place,) = beside([(400, 300)], [(100, 40)], radius=8, inside=PLOT, crossed=[(line, 4.0)])
    assert place.meet(line).empty


def test_at_an_edge_a_label_turns_inwards() -> None:
    """A point in the corner has its label inside the plot."""
    (place,) = beside([(899, 1)], [(100, 40)], radius=8, inside=PLOT)
    assert place.meet(PLOT) == place
    assert place.meet(Rect(891, 0, 900, 9)).empty
