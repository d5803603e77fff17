"""Which of several flashes or claps is the one."""

from __future__ import annotations

import pytest

from overlays.footage.events import Event, found_by_event


def test_the_strongest_is_taken_and_the_runs_zero_reckoned_from_it() -> None:
    """A clap 1.5 s before the trigger puts the zero behind it; 0.69 is not as strong."""
    found = found_by_event("clap", [Event(3.0, 0.005, 13.8), Event(8.0, 0.005, 20.0)], at_s=-1.5)
    assert found.sure
    assert found.offset_s == pytest.approx(9.5)
    assert [place.weight for place in found.places] == [1.0, 0.69]


def test_two_about_as_strong_are_not_guessed_between() -> None:
    """Both times are told, in order, and what to do."""
    found = found_by_event("flash", [Event(8.25, 0.016, 50.0), Event(3.0, 0.016, 45.0)], at_s=0.0)
    assert not found.sure
    assert found.why == "2 of a kind are about as strong, at 3.000 s and 8.250 s"
    assert "Cut the footage" in found.remedy


def test_none_and_one_between_pictures_far_apart_are_not_sure() -> None:
    """Without an event there is no place; known to more than a frame it is an unsure one."""
    nothing = found_by_event("flash", [], at_s=0.0)
    assert (nothing.places, nothing.sure, nothing.why) == ((), False, "no flash stands out")
    loose = found_by_event("flash", [Event(3.0, 0.05, 50.0)], at_s=0.0)
    assert not loose.sure
    assert "0.100 s apart" in loose.why
