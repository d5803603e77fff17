"""Reel names."""

from __future__ import annotations

import re
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.timecode import Timebase
from overlays.turnover import reels as reels_module
from overlays.turnover.reels import reels
from tests.turnover.building import listed

TIMEBASE = Timebase(Fraction(25))


@given(st.lists(st.text(min_size=1, max_size=20), unique=True, max_size=30))
def test_reels_are_unique_and_eight_plain_characters(cues: list[str]) -> None:
    """Whatever the ids, every cue has a reel of its own that any reader takes."""
    found = reels([listed(cue, 100, 5, TIMEBASE) for cue in cues])
    assert set(found) == set(cues)
    assert len(set(found.values())) == len(cues)
    assert all(re.fullmatch("[A-Z0-9]{8}", reel) for reel in found.values())


def test_a_reel_keeps_its_name_when_other_cues_come_and_go() -> None:
    """The name hangs on the cue's id alone, and begins like it."""
    one = reels([listed("alder-curves", 100, 5, TIMEBASE)])
    many = reels([listed(f"alder-{i}", 100, 5, TIMEBASE) for i in range(600)])
    both = reels([listed(cue, 100, 5, TIMEBASE) for cue in (*many, "alder-curves")])
    assert both["alder-curves"] == one["alder-curves"]
    assert one["alder-curves"].startswith("ALDE")
    assert {cue: both[cue] for cue in many} == many


def test_two_ids_that_meet_are_told_apart(monkeypatch: pytest.MonkeyPatch) -> None:
    """The id later in the alphabet takes the next digest."""
    short = reels_module._reel
    monkeypatch.setattr(
        reels_module, "_reel", lambda cue, attempt: "SAMESAME" if not attempt else short(cue, 1)
    )
    found = reels([listed(cue, 100, 5, TIMEBASE) for cue in ("b", "a")])
    assert found["a"] == "SAMESAME"
    assert found["b"] == short("b", 1)
