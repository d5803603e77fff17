"""Reduced motion: which frames are shown instead of those on the way."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from overlays.draw.axis import Axes
from overlays.draw.curve import Curve
from overlays.draw.patch import Layer, Patch, Rect
from overlays.kinds._calm import settled_frames
from overlays.style.colour import Colour

PATCH = Patch(np.full((4, 4, 4), 255, np.uint8))
RATE = Fraction(10)  # what stands for four frames stands


class Film:
    """One patch whose place at every frame is given."""

    width, height = 40, 4

    def __init__(self, places: Sequence[int]) -> None:
        self.places, self.frames = places, len(places)
        self.stops: Sequence[int] = ()

    def layers(self, frame: int) -> Sequence[Layer]:
        return (Layer(PATCH, self.places[frame], 0),)


class Drawn(Film):
    """The same beside a curve that is drawn up to a time at every frame."""

    def __init__(self, places: Sequence[int], until: Sequence[float | None]) -> None:
        super().__init__(places)
        self.until = until
        self.curves = [Curve("a", np.arange(2.0), np.arange(2.0), Colour(1, 2, 3), 2.0)]

    def drawn_to_s(self, frame: int, curve: Curve) -> float | None:
        del curve
        return self.until[frame]

    def axes_of(self, frame: int, curve: Curve) -> Axes:
        raise NotImplementedError

    def covered(self, frame: int) -> Sequence[Rect]:
        raise NotImplementedError


def test_a_move_is_replaced_by_what_it_comes_to() -> None:
    """From when it would begin, the state that then stands is shown."""
    places = [0, 3, 5, 6, 6, 6, 6, 4, 2, 0, 0, 0, 0]
    shown = [places[frame] for frame in settled_frames(Film(places), RATE)]
    assert shown == [6] * 7 + [0] * 6


def test_a_breath_on_the_way_is_no_state() -> None:
    """Two frames alike, as where a move slows down, are passed over; at the end they are not."""
    places = [0, 3, 3, 5, 6, 6]
    assert [places[frame] for frame in settled_frames(Film(places), RATE)] == [6] * 6


def test_states_that_matter_are_seen_where_they_are_far_enough_apart() -> None:
    """A stop is shown until it is past; one right after another, or before the end, is not."""
    film = Film(list(range(20)))
    film.stops = (5, 7, 12, 17)
    assert settled_frames(film, RATE) == (5,) * 6 + (12,) * 7 + (19,) * 7


def test_curves_are_drawn_as_ever_and_what_comes_before_is_there_at_once() -> None:
    """Frames on which a curve grows are kept; a pause in it is not taken for growth."""
    until = [None, None, None, 0.1, 0.2, 0.2, 0.2, 0.2, 0.3, 0.4, 0.4, 0.4]
    places = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12]
    shown = settled_frames(Drawn(places, until), RATE)
    assert shown == (2, 2, 2, 3, 4, 6, 6, 7, 8, 9, 11, 11)


@given(places=st.lists(st.integers(0, 3), min_size=1, max_size=60))
def test_no_frame_is_shown_late_and_the_end_is_the_end(places: list[int]) -> None:
    """Nothing is held back, nothing goes backwards, and what stands is shown on its own frames."""
    shown = settled_frames(Film(places), RATE)
    assert all(frame <= instead for frame, instead in enumerate(shown))
    assert list(shown) == sorted(shown)
    assert places[shown[-1]] == places[-1]
    states = [places[frame] for frame in shown]
    changes = [i for i in range(1, len(states)) if states[i] != states[i - 1]]
    assert all(b - a >= 4 for a, b in pairwise(changes))
