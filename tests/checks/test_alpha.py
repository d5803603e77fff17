"""Straight and premultiplied alpha told apart; sources stand in data/checks/colour_alpha.json."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.checks.alpha import alpha_kind, judge_alpha
from overlays.draw.patch import Pixels
from tests.outside import rows


def frame(*rgba: int) -> Pixels:
    return np.full((4, 6, 4), rgba, np.uint8)


def multiplied(pixels: Pixels) -> Pixels:
    result = pixels.copy()
    colour = pixels[..., :3].astype(int) * pixels[..., 3:]
    result[..., :3] = (colour + 127) // 255
    return result


def test_the_cases_pixels_are_told_apart() -> None:
    """The pixel of half alpha is straight as stored, premultiplied as the fault has it."""
    (row,) = rows("colour_alpha", "case.straight")
    straight = frame(*row.input["straight"][0])
    fault = frame(*row.expected["pixels"][0]["premultiplied"])
    assert alpha_kind(straight, straight) == "straight"
    assert alpha_kind(fault, straight) == "premultiplied"


@given(st.tuples(*[st.integers(0, 255)] * 3), st.integers(0, 255))
def test_multiplying_is_found_wherever_it_shows(rgb: tuple[int, int, int], alpha: int) -> None:
    """Any colour and alpha is told right or left undecided, never told wrong."""
    straight = frame(*rgb, alpha)
    assert alpha_kind(straight, straight) in ("straight", "undecided")
    assert alpha_kind(multiplied(straight), straight) in ("premultiplied", "undecided")


def test_bright_colour_at_half_alpha_is_always_decided() -> None:
    """White at half alpha decides, a few codes of codec error notwithstanding."""
    straight = frame(255, 255, 255, 128)
    off = straight.copy()
    off[..., :3] -= 5
    assert alpha_kind(off, straight) == "straight"


@pytest.mark.parametrize("rgba", [(0, 0, 0, 128), (255, 255, 255, 255), (255, 255, 255, 0)])
def test_what_cannot_tell_is_left_undecided(rgba: tuple[int, ...]) -> None:
    """Black, opaque and invisible pixels look the same either way."""
    assert alpha_kind(frame(*rgba), frame(*rgba)) == "undecided"
    assert judge_alpha(frame(*rgba), frame(*rgba)).verdict == "pass"


def test_lost_and_premultiplied_alpha_fail_and_straight_passes() -> None:
    """Each fault is told in its words, with the frame."""
    drawn = frame(200, 40, 40, 128)
    lost = judge_alpha(frame(200, 40, 40, 255), drawn, frame=3)
    assert (lost.verdict, lost.frame) == ("fail", 3)
    assert "lost" in lost.message
    assert "premultiplied" in judge_alpha(multiplied(drawn), drawn).message
    assert judge_alpha(drawn, drawn).message == "the alpha is straight."
