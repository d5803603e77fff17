"""Passages said twice."""

from __future__ import annotations

from overlays.outline.voice.retakes import find_retakes
from tests.outline.voices import voice_of


def test_a_false_start_is_found() -> None:
    """The take that was broken off is told, with its times and its beat."""
    voice = voice_of(
        "good evening all of you | alder bites first and then it fades",
        "good evening all of you alder bites first and oh no alder bites first and then it fades",
    )
    (take,) = find_retakes(voice)
    assert (take.beat, take.start_ms, take.end_ms) == (1, 2000, 4400)
    assert take.text == "alder bites first and oh no"
    assert voice.spot(5).ms == 4400


def test_an_ad_lib_is_no_retake() -> None:
    """Words that are nowhere in the script are no second take of it."""
    voice = voice_of(
        "good evening all of you | alder bites first",
        "good evening all of you what a lovely warm room this is alder bites first",
    )
    assert find_retakes(voice) == ()


def test_a_short_slip_is_no_retake() -> None:
    """Fewer than four words are a slip of the tongue."""
    voice = voice_of("alder bites first and fades", "alder bites alder bites first and fades")
    assert find_retakes(voice) == ()
