"""The lanes of what is measured: names do not run into each other, nor off the picture."""

from __future__ import annotations

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from overlays.draw.axis import Scale
from overlays.turnover.look.lanes import lanes_of
from overlays.turnover.look.marks import Mark

TIMES = Scale(-1.0, 10.0, 40.0, 440.0)
MARGIN = 40.0
MOMENTS = st.floats(-0.9, 9.9)
WINDOWS = st.tuples(MOMENTS, MOMENTS).map(lambda ends: (min(ends), max(ends)))
LABELS = st.text("abc Wü", min_size=1, max_size=60)
MARKS = st.one_of(
    st.builds(Mark, LABELS, main=st.booleans(), windows=st.tuples(WINDOWS)),
    st.builds(Mark, LABELS, at_s=MOMENTS),
    st.builds(Mark, LABELS, windows=st.just(((0.0, 1.0), (6.0, 7.0)))),
)


@given(st.lists(MARKS, max_size=8))
def test_every_mark_has_a_place_of_its_own(marks: list[Mark]) -> None:
    """All are there; in one lane none overlaps another; no name leaves the margins."""
    rows = lanes_of(marks, TIMES, MARGIN)
    assert {id(lane.mark) for row in rows for lane in row} == {id(mark) for mark in marks}
    for row in rows:
        extents = sorted(lane.extent for lane in row)
        assert all(one[1] <= other[0] for one, other in pairwise(extents))
    for lane in (lane for row in rows for lane in row):
        left, right = lane.extent
        assert left >= TIMES.start - MARGIN - 8
        assert right <= TIMES.end + MARGIN / 2 + 8


def test_a_name_stands_on_its_bar_where_it_fits_and_beside_it_where_not() -> None:
    """On a long bar in the middle; right of a short one; left of one at the right end."""
    long = Mark("held", windows=((1.0, 9.0),))
    short = Mark("held", windows=((1.0, 1.1),))
    last = Mark("held for long", windows=((9.5, 9.9),))
    on, beside, before = (lanes_of([mark], TIMES, MARGIN)[0][0] for mark in (long, short, last))
    assert on.bars[0][0] < on.label_x < on.bars[0][1]
    assert beside.label_x > beside.bars[0][1]
    assert before.label_x < before.bars[0][0]


def test_a_long_name_is_cut_to_the_room_there_is() -> None:
    """It ends in an ellipsis and begins as written."""
    (lane,) = lanes_of([Mark("very " * 40, windows=((4.0, 5.0),))], TIMES, MARGIN)[0]
    assert lane.label.startswith("very very")
    assert lane.label.endswith("…")


def test_marks_share_a_lane_where_they_can_and_nothing_makes_no_lane() -> None:
    """Zero and a late window stand in one lane, what overlaps either below; no mark, no lane."""
    zero = Mark("zero", zero=True, windows=((-0.8, -0.1),))
    early, late = Mark("early", windows=((0.0, 5.0),)), Mark("late", windows=((4.0, 9.0),))
    rows = lanes_of([zero, early, late, Mark("no window")], TIMES, MARGIN)
    assert [[lane.mark.label for lane in row] for row in rows] == [["zero", "late"], ["early"]]
    assert lanes_of([], TIMES, MARGIN) == ()
    assert lanes_of([Mark("no window")], TIMES, MARGIN) == ()
