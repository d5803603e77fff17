"""The bound on flashing: never less than what is measured, and exact about what it leaves out."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overlays.checks.flash_bound import FlashBound
from overlays.checks.flash_meter import FlashMeter
from overlays.checks.flashing import judge_bound, judge_flashing, measure_flashing
from overlays.draw.patch import Pixels, Rect

RATE = Fraction(10)
SIZE = (36, 24)

Frames = list[tuple[Pixels, list[Rect]]]


def frames_of(seed: int, *, count: int, busy: float) -> Frames:
    """Return frames in which random blocks change, with the rectangles they lie in."""
    random = np.random.default_rng(seed)
    pixels = np.zeros((SIZE[1], SIZE[0], 4), np.uint8)
    frames: Frames = [(pixels.copy(), [])]
    for _ in range(count):
        rects = []
        for _ in range(int(random.integers(0, 4))):
            left, top = int(random.integers(0, 30)), int(random.integers(0, 18))
            rect = Rect(left, top, left + int(random.integers(1, 14)), top + 8).meet(
                Rect(0, 0, *SIZE)
            )
            if random.random() < busy:
                level = int(random.choice([0, 90, 255]))
                pixels[rect.top : rect.bottom, rect.left : rect.right] = (level, 30, level, 255)
            rects.append(rect)
        frames.append((pixels.copy(), rects))
    return frames


@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 10_000), busy=st.sampled_from([0.3, 0.8, 1.0]))
def test_what_the_bound_passes_is_measured_to_pass(seed: int, busy: float) -> None:
    """For any frames the area that may flash is at least the one that does, up to every frame."""
    frames = frames_of(seed, count=30, busy=busy)
    bound = FlashBound(*SIZE, rate=RATE, cell_px=3)
    meter = FlashMeter(*SIZE, rate=RATE, backdrops=["black"], cell_px=3)
    black = [np.zeros((SIZE[1], SIZE[0], 3), np.uint8)]
    for pixels, changed in frames:
        bound.add(pixels, changed)
        meter.add(pixels, black, changed=changed)
    (verdict,) = meter.verdicts()
    assert all(count.field_share <= bound.field_share for count in verdict.counts)
    ends = [count.last_frame for count in verdict.counts if count.last_frame is not None]
    assert max(ends, default=-1) < max(bound.doubtful_frames, 1)


@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 10_000))
def test_measuring_only_what_tells_changes_no_verdict(seed: int) -> None:
    """Leaving out what changes too seldom leaves areas, frames and verdicts as they are."""
    frames = frames_of(seed, count=30, busy=1.0)
    bound = FlashBound(*SIZE, rate=RATE)
    for pixels, changed in frames:
        bound.add(pixels, changed)
    black = {"black": np.zeros((SIZE[1], SIZE[0], 3), np.uint8)}
    whole = measure_flashing(iter(frames), black, rate=RATE)
    if not bound.doubtful_frames:
        assert all(verdict.passed for verdict in whole)
        return
    (within,) = bound.telling([Rect(0, 0, *SIZE)])
    told = ((pixels, bound.telling(changed)) for pixels, changed in frames)
    part = measure_flashing(told, black, rate=RATE, within=within)
    for one, other in zip(whole[0].counts, part[0].counts, strict=True):
        assert (one.field_share, one.first_frame) == (other.field_share, other.first_frame)


def test_a_still_picture_is_proven_and_says_so() -> None:
    """What comes in once and stays cannot flash; the finding names limit and caution."""
    bound = FlashBound(*SIZE, rate=RATE)
    pixels = np.full((SIZE[1], SIZE[0], 4), 255, np.uint8)
    for number in range(20):
        bound.add(pixels, [Rect(0, 0, *SIZE)] if number < 2 else [])
    assert bound.doubtful_frames == 0
    assert bound.telling([Rect(0, 0, *SIZE)]) == ()
    finding = judge_bound(bound)
    assert finding.verdict == "pass"
    assert "no medical guarantee" in finding.message


def test_a_doubtful_clip_is_not_passed_unmeasured() -> None:
    """A picture that changes all over in every frame has to be measured."""
    bound = FlashBound(*SIZE, rate=RATE)
    for number in range(20):
        pixels = np.full((SIZE[1], SIZE[0], 4), 40 * (number % 2), np.uint8)
        bound.add(pixels, [Rect(-5, -5, 99, 99), Rect(50, 50, 60, 60)])
    assert bound.doubtful_frames == 20
    with pytest.raises(ValueError, match="not proven"):
        judge_bound(bound)


def test_what_was_not_measured_may_have_flashed_as_often_as_is_said() -> None:
    """The number of flashes told is never less than what the places left out may have had."""
    black = {"black": np.zeros((4, 4, 3), np.uint8)}
    still: Frames = [(np.zeros((4, 4, 4), np.uint8), [])]
    verdicts = measure_flashing(iter(still), black, rate=RATE)
    (finding,) = judge_flashing(verdicts, least=3)
    assert "at most 3 flashes" in finding.message
