"""Room for labels: nearest free place, never twice the same, counted where nothing is free."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from overlays.draw.patch import Rect
from overlays.draw.room import Room

INSIDE = Rect(0, 0, 400, 300)


def level(row: float, start: float = 0, end: float = 400) -> np.ndarray:
    return np.array([[start, row], [end, row]])


def test_labels_find_room_clear_of_curves() -> None:
    """The nearest free place beside a line is taken, level with it; left where right is full."""
    line = Rect(200, 80, 202, 220)
    room = Room(INSIDE, 4)
    room.take_curve(level(100.0), 4.0)
    place = room.place((60, 30), line, 12, margin=4)
    assert 212 <= place.left <= 218
    assert abs((place.top + place.bottom) / 2 - 150) <= 4
    busy = Room(INSIDE, 4)
    for row in np.arange(0.0, 300, 10):
        busy.take_curve(level(row, 210, 400), 2.0)
    place = busy.place((60, 30), line, 12, margin=4)
    assert 180 <= place.right <= 200 - 12


def test_a_full_plot_gives_the_least_crossed_place() -> None:
    """Where nothing is free a label still gets its size, inside, where the fewest curves run."""
    room = Room(INSIDE, 4)
    for row in np.arange(0.0, 200, 10):
        room.take_curve(level(row), 2.0)
    for row in np.arange(200.0, 300, 20):
        room.take_curve(level(row), 2.0)
    place = room.place((60, 60), Rect(200, 20, 202, 40), 8, margin=0)
    assert (place.right - place.left, place.bottom - place.top) == (60, 60)
    assert place.top >= 200


def test_a_label_may_be_kept_to_the_left_of_a_column() -> None:
    """With `until` a label ends before that column, though there is room beyond it."""
    place = Room(INSIDE, 4).place((60, 30), Rect(200, 80, 202, 220), 8, margin=4, until=200)
    assert place.right <= 200


@settings(max_examples=40, deadline=None)
@given(
    seed=st.integers(0, 2**32 - 1),
    sizes=st.lists(st.tuples(st.integers(10, 90), st.integers(8, 40)), min_size=1, max_size=6),
)
def test_labels_placed_in_turn_never_overlap(seed: int, sizes: list[tuple[int, int]]) -> None:
    """Labels of one spot all find places of their own, off the curve, inside the rectangle."""
    rng = np.random.default_rng(seed)
    x = np.linspace(0, 400, 60)
    points = np.stack([x, 150 + rng.normal(0, 3, 60).cumsum()], axis=1)
    room = Room(INSIDE, 4)
    room.take_curve(points, 4.0)
    found: list[Rect] = []
    for size in sizes:
        place = room.place(size, Rect(198, 140, 202, 160), 6, margin=2)
        assert all(place.meet(other).empty for other in found)
        assert place.meet(INSIDE) == place
        inside = (x >= place.left) & (x < place.right)
        assert not ((points[inside, 1] > place.top) & (points[inside, 1] < place.bottom)).any()
        found.append(place)
        assert room.hits(place) > 0


def test_a_spike_between_two_cells_takes_all_of_its_height() -> None:
    """A line that rises within a cell takes that whole column of cells; a gap takes nothing."""
    room = Room(INSIDE, 4)
    room.take_curve(
        np.array([[100.0, 250], [101, 20], [102, 250], [np.nan, np.nan], [300, 250]]), 2
    )
    assert room.hits(Rect(100, 40, 104, 200)) == 40
    assert room.hits(Rect(120, 0, 280, 300)) == 0


def test_a_label_rather_stands_off_a_band_but_on_it_than_on_a_curve() -> None:
    """Of free places the one off the band is taken; where there is none, one on the band."""
    room = Room(INSIDE, 4)
    room.take_band(level(60.0), level(200.0))
    spot = Rect(198, 120, 202, 124)
    place = room.place((60, 30), spot, 6, margin=2)
    assert place.bottom <= 60 or place.top >= 200
    filled = Room(INSIDE, 4)
    filled.take_band(level(60.0), level(200.0))
    for row in (*np.arange(0.0, 60, 10), *np.arange(206.0, 300, 10)):
        filled.take_curve(level(row), 2.0)
    place = filled.place((60, 30), spot, 6, margin=2)
    assert place.top >= 52
    assert place.bottom <= 208


def test_labels_keep_clear_of_lines_that_lead_to_others() -> None:
    """A slanting line is taken all along, in either direction, and cut to the rectangle."""
    room = Room(INSIDE, 4)
    room.take_line((300.0, 280.0), (100.0, -40.0))
    for share in (0.2, 0.5, 0.8):
        x, y = 300 - 200 * share, 280 - 320 * share
        if y > 0:
            assert room.hits(Rect(int(x) - 1, int(y) - 1, int(x) + 1, int(y) + 1)) > 0
    place = room.place((60, 30), Rect(198, 120, 202, 124), 6, margin=2)
    ends = [(x, 280 - (300 - x) * 1.6) for x in range(place.left, place.right)]
    assert not any(place.top <= y < place.bottom for _, y in ends)


def test_a_line_that_runs_over_a_label_is_told() -> None:
    """Only labels count, and not those it belongs to."""
    room = Room(INSIDE, 4)
    room.take_curve(level(150.0), 4.0)
    room.take(Rect(180, 200, 240, 230))
    assert room.crosses_label((210.0, 100.0), (210.0, 280.0), but=())
    assert not room.crosses_label((210.0, 100.0), (210.0, 190.0), but=())
    assert not room.crosses_label((210.0, 100.0), (210.0, 280.0), but=[Rect(180, 200, 240, 230)])
