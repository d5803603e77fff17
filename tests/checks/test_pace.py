"""Overlays that have to hurry, found out before anything is drawn."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import fields, replace

import pytest

from overlays.checks.pace import coming_frames, judge_pace
from overlays.draw.motion import staged
from overlays.draw.patch import Layer
from overlays.kinds.registry import kinds
from overlays.model.clip import Clip
from tests.checks.clips import RATE, clip_of
from tests.kinds.conftest import EXAMPLES, content_of, make_results

RESULTS = make_results()


def clip(kind: str, frames: int) -> Clip:
    content = content_of(RESULTS, kind, **EXAMPLES[kind])
    return clip_of(kind, content, size=(1280, 720), frames=frames)


def test_a_card_that_must_hurry_is_told_with_both_times() -> None:
    """Of 0.8 s a card has nearly all to come in; it would take a panel and a step a figure.

    The style's times are 0.45 s for the panel and 0.4 s for each of two figures.
    """
    whole_s = staged((0.45, 0.4, 0.4), RATE, 999)[-1].end / 25
    (found,) = judge_pace([clip("lower_third", 20)])
    assert (found.check, found.verdict, found.cue) == ("pace", "caution", "a-cue")
    assert found.timecode == "10:00:00:00"
    assert "in the 0.80 s there are" in found.message
    comes_s, needs_s = (float(x) for x in re.findall(r"(?:within|takes) ([\d.]+) s", found.message))
    # The last frames of a move that slows down may look alike.
    assert needs_s == pytest.approx(whole_s, abs=0.09)
    assert comes_s == pytest.approx(0.8, abs=0.09)
    natural = kinds()["lower_third"].natural_s(clip("lower_third", 20).content)
    assert f"{natural:.1f} s is plenty" in found.remedy


@pytest.mark.parametrize("kind", sorted(EXAMPLES))
def test_no_kind_hurries_at_its_natural_length(kind: str) -> None:
    """What a kind says it wants is enough for it; in a tenth of that it has to hurry."""
    content = clip(kind, 300).content
    natural = round(kinds()[kind].natural_s(content) * RATE)
    assert judge_pace([clip(kind, natural)]) == ()
    if "pace" not in {option.name for option in fields(kinds()[kind])}:
        # At live pace such a cue is refused.
        (found,) = judge_pace([clip(kind, natural // 10)])
        assert found.verdict == "caution"


def test_a_cue_a_little_shorter_is_not_spoken_of() -> None:
    """With time to spare nothing comes faster; the check is not about the kind's own wish."""
    natural = round(kinds()["claim"].natural_s(clip("claim", 300).content) * RATE)
    told: list[tuple[int, int, str]] = []
    found = judge_pace(
        [clip("claim", natural - 20)],
        progress=lambda done, total, what: told.append((done, total, what)),
    )
    assert found == ()
    assert told == [(1, 1, "pace")]


def test_leaving_takes_from_the_time_there_is() -> None:
    """A cue may be long enough to stand on, and too short to leave; its place takes no time."""
    standing = clip("lower_third", 36)
    assert judge_pace([standing]) == ()
    assert judge_pace([replace(standing, stage=replace(standing.stage, place="head"))]) == ()
    leaving = replace(standing, stage=replace(standing.stage, leave=16))
    (found,) = judge_pace([leaving])
    assert "in the 0.80 s" in found.message


def test_in_reduced_motion_nothing_hurries() -> None:
    """What is there at once does not come too fast."""
    short = clip("lower_third", 20)
    assert judge_pace([replace(short, stage=replace(short.stage, motion="reduced"))]) == ()


@pytest.mark.parametrize("kind", ["curves", "readout"])
def test_how_fast_a_run_is_gone_along_is_the_cues_own_choice(kind: str) -> None:
    """A run fitted into half its time is no hurry; its axes and what comes after squeezed are."""
    content = content_of(RESULTS, kind, **(EXAMPLES[kind] | {"pace": "fit"}))
    fitted = clip_of(kind, content, size=(1280, 720), frames=150)
    assert judge_pace([fitted]) == ()
    (found,) = judge_pace([replace(fitted, stage=replace(fitted.stage, frames=20))])
    assert found.check == "pace"


def test_frames_are_counted_up_to_the_last_change() -> None:
    """A scene that stands from its first frame takes one."""

    class Still:
        width, height, frames = 4, 4, 10

        def layers(self, frame: int) -> Sequence[Layer]:
            del frame
            return ()

    assert coming_frames(Still()) == 1
