"""Reading times judged before anything is drawn."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from overlays.checks import reading_ahead
from overlays.checks.reading_ahead import judge_reading_ahead
from overlays.errors import Problems
from overlays.plan import open_episode, plan_cue
from overlays.progress import silent

MINI = Path(__file__).parents[1] / "data" / "sessions" / "mini"


def test_words_that_stand_too_short_are_told_with_their_time() -> None:
    """A card of 0.8 s cannot be read, one of 6 s can: decided by the words it really shows."""
    episode = open_episode(MINI, Problems())
    assert episode is not None
    cue = next(cue for cue in episode.outline.cues if cue.cue == "weir-card")
    long, short = (
        plan_cue(replace(cue, frames=frames), episode, codec="png") for frames in (150, 20)
    )
    told: list[tuple[int, int, str]] = []
    found = judge_reading_ahead(
        (long, short), progress=lambda done, total, what: told.append((done, total, what))
    )
    (only,) = found
    assert (only.check, only.verdict, only.cue) == ("reading-time", "caution", "weir-card")
    assert only.timecode is not None
    assert "words stand for" in only.message
    assert told == [(1, 2, "reading times"), (2, 2, "reading times")]


def test_nothing_is_drawn_to_find_out(monkeypatch: pytest.MonkeyPatch) -> None:
    """Frames are asked which texts they hold, in order, the cue's own and no others."""
    episode = open_episode(MINI, Problems())
    assert episode is not None
    clip = plan_cue(episode.outline.cues[0], episode, codec="png")
    asked: list[int] = []

    class Silent:
        width, height, frames = clip.stage.width, clip.stage.height, clip.stage.frames

        def layers(self, frame: int) -> tuple[()]:
            asked.append(frame)
            return ()

    monkeypatch.setattr(reading_ahead, "lay_out_clip", lambda _: Silent())
    assert judge_reading_ahead((clip,), progress=silent) == ()
    assert asked == list(range(clip.stage.frames))
