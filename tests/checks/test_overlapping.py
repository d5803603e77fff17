"""Overlays on screen together that cover each other."""

from __future__ import annotations

from dataclasses import replace

from overlays.checks.overlapping import judge_overlaps
from overlays.model.clip import Clip
from tests.checks.clips import clip_of
from tests.kinds.conftest import EXAMPLES, content_of, make_results


def clip(kind: str, cue: str, first_frame: int) -> Clip:
    content = content_of(make_results(), kind, **EXAMPLES[kind])
    made = clip_of(kind, content, size=(640, 360))
    return replace(made, cue=cue, first_frame=first_frame)


def test_overlays_that_cover_each_other_are_told_with_time_and_place() -> None:
    """A card put on a standing comparison is a caution at the card's first frame."""
    clips = [clip("lower_third", "card", 900_030), clip("claim", "lines", 900_000)]
    (found,) = judge_overlaps(clips)
    assert (found.check, found.verdict, found.cue) == ("overlap", "caution", "card")
    assert found.timecode == "10:00:01:05"
    assert "covers 'lines' (claim) until 10:00:02:00" in found.message
    assert "'lines'" in found.remedy


def test_what_is_apart_in_time_or_of_one_kind_is_not_told() -> None:
    """One that begins on the frame after the other's last is clear of it."""
    lines = clip("claim", "lines", 900_000)
    assert judge_overlaps([lines, clip("lower_third", "card", 900_050)]) == ()
    assert judge_overlaps([lines, clip("claim", "more", 900_010)]) == ()
    assert len(judge_overlaps([lines, clip("lower_third", "card", 900_049)])) == 1


def test_overlays_put_apart_are_not_told() -> None:
    """What is drawn counts, not where a kind would stand by itself: two cards, two places."""
    low, card = clip("claim", "lines", 900_000), clip("lower_third", "card", 900_010)
    assert len(judge_overlaps([low, card])) == 1
    high = replace(card, stage=replace(card.stage, place="head-right"))
    assert judge_overlaps([low, high]) == ()
    both_high = replace(low, stage=replace(low.stage, place="head"))
    (found,) = judge_overlaps([both_high, high])
    assert "place" in found.remedy


def test_two_cards_of_one_kind_may_stand_together_in_two_places() -> None:
    """One at the head, one at the foot: nothing is told; two places that meet are told."""
    first, second = clip("lower_third", "first", 900_000), clip("lower_third", "second", 900_010)
    high = replace(second, stage=replace(second.stage, place="head-right"))
    assert judge_overlaps([first, high]) == ()
    same_spot = replace(second, stage=replace(second.stage, place="foot-left"))
    (found,) = judge_overlaps([first, same_spot])
    assert found.cue == "second"
