"""The manifest held to itself."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from overlays.turnover.claims import claim_faults
from tests.turnover.building import ALL_TIMEBASES, listed, manifest

DROP_2997 = ALL_TIMEBASES[4]
GOOD = manifest(DROP_2997, listed("a", 1800, 50, DROP_2997), listed("b", 9000, 50, DROP_2997))


def test_a_sound_manifest_has_no_fault() -> None:
    """At every rate."""
    assert list(claim_faults(GOOD)) == []
    for timebase in ALL_TIMEBASES:
        assert list(claim_faults(manifest(timebase, listed("a", 5000, 9, timebase)))) == []
        assert list(claim_faults(manifest(timebase))) == []


@pytest.mark.parametrize(
    ("changes", "field", "says"),
    [
        ({"rate": "25"}, "rate", "found '25', the timeline has '30000/1001'"),
        ({"width": 60}, "width", "60x48, the canvas is 64x48"),
        ({"frames": 20}, "frames", "leave none for the cue"),
        ({"first_frame": 1801}, "record_in", "is frame 1800, not 1801"),
        ({"record_in": "00:01:00;00"}, "record_in", "leaves out frames"),
        ({"record_in": "noon"}, "record_in", "not a timecode"),
        ({"handles": (1900, 8), "frames": 2000}, "handles", "before timecode zero"),
        ({"codec": "h264"}, "file", "codec 'h264' is not known"),
        ({"file": "a.mov"}, "file", "does not lie in the folder 'clips'"),
        ({"file": "clips/../a.mov"}, "file", "holds '/'"),
        ({"file": "clips/"}, "file", "is empty"),
        ({"file": "clips/aux.mov"}, "file", "reserved"),
        ({"file": "clips/a.webm"}, "file", "does not end in '.mov'"),
    ],
)
def test_each_contradiction_is_named(changes: dict[str, Any], field: str, says: str) -> None:
    """One fault gives one error with its key."""
    bad = replace(GOOD, clips=(replace(GOOD.clips[0], **changes), GOOD.clips[1]))
    (error,) = claim_faults(bad)
    assert error.field == f"clips.0.{field}"
    assert says in error.message
    assert error.remedy


@pytest.mark.parametrize("key", ["cue", "file"])
def test_two_clips_cannot_be_one(key: str) -> None:
    """Ids and files are each claimed once, upper and lower case being the same."""
    twin = replace(
        GOOD.clips[1], **{key: getattr(GOOD.clips[0], key).upper().replace("MOV", "mov")}
    )
    errors = [e.message for e in claim_faults(replace(GOOD, clips=(GOOD.clips[0], twin)))]
    assert any(f"2 clips have the {key}" in message for message in errors)


def test_a_rate_that_is_none_is_told_alone() -> None:
    """Without a rate there is no label to judge."""
    (error,) = claim_faults(replace(GOOD, rate="29.97"))
    assert error.field == "rate"
