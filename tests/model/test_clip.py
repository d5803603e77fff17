"""A clip's frames: handles, the cue between them, and where both lie on the timeline."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.model.clip import CODECS, Clip, Stage
from overlays.timecode import Timebase


def _clip(head: int, frames: int, tail: int, *, first_frame: int = 1000) -> Clip:
    rate = Fraction(30)
    return Clip(
        cue="card",
        kind="lower_third",
        beat="one",
        file="card.mov",
        first_frame=first_frame,
        handles=(head, tail),
        timebase=Timebase(rate),
        stage=Stage(64, 36, rate, frames, "rule", ""),
        content=None,
        figures=(),
        description="",
    )


def test_handles_worked_out_by_hand() -> None:
    """Two frames before, three of the cue, four after: nine frames, from frame 998 on."""
    clip = _clip(2, 3, 4)
    assert clip.frames == 9
    assert clip.file_first_frame == 998
    assert [clip.overlay_frame(index) for index in range(9)] == [-1, -1, 0, 1, 2, 2, 2, 2, 2]


@given(st.integers(0, 50), st.integers(1, 500), st.integers(0, 50))
def test_every_frame_of_the_cue_is_shown_once_before_the_tail(
    head: int, frames: int, tail: int
) -> None:
    """Before it lies nothing, after it the last frame stands; none is left out."""
    clip = _clip(head, frames, tail)
    shown = [clip.overlay_frame(index) for index in range(clip.frames)]
    assert shown == [-1] * head + list(range(frames)) + [frames - 1] * tail


@pytest.mark.parametrize(("codec", "ending"), CODECS.items())
def test_endings_are_what_the_formats_are_known_by(codec: str, ending: str) -> None:
    """QuickTime, WebM, Matroska, and a folder for numbered pictures."""
    known = {"prores4444": ".mov", "qtrle": ".mov", "vp9": ".webm", "ffv1": ".mkv", "png": ""}
    assert known[codec] == ending
