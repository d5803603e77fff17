"""Frames on which a run goes along."""

from __future__ import annotations

from collections.abc import Sequence

from overlays.draw.growing import growing_frames
from overlays.draw.patch import Layer


class Still:
    """Five frames of nothing."""

    width, height, frames = 4, 4, 5

    def layers(self, frame: int) -> Sequence[Layer]:
        del frame
        return ()


class Reading(Still):
    """The same, of a run that begins on the second frame and rests on the last but one."""

    def pointer_s(self, frame: int) -> float | None:
        return (None, 0.1, 0.2, 0.2, 0.2)[frame]


def test_a_scene_that_goes_along_nothing_never_grows() -> None:
    """Without curves or a reading no frame counts."""
    assert growing_frames(Still()) == [False] * 5


def test_frames_on_both_sides_of_a_step_count() -> None:
    """Where it begins and where it has come to; not what comes before and not the rest after."""
    assert growing_frames(Reading()) == [False, True, True, False, False]
