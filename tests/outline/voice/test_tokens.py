"""How written words sound."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.outline.speech.unit_words import lexicon
from overlays.outline.voice.tokens import Ear, unit_sounds

EAR = Ear(unit_sounds(lexicon(["N*m", "EUR", "g", "degC", "%", "s"])))


@pytest.mark.parametrize(
    ("text", "sounds"),
    [
        ("Hello, World!", "hello world"),
        ("86.4 N·m", "eighty six point four newton metres"),
        ("86.4 newton metres", "eighty six point four newton metres"),
        ("21g", "twenty one grams"),
        ("8 %", "eight percent"),
        ("87%", "eighty seven percent"),
        ("18.50 €", "eighteen point five zero euros"),
        ("231 °C", "two hundred and thirty one degrees celsius"),
        ("thirty-one", "thirty one"),
        ("don’t", "dont"),
        ("Öl für Ärger", "ol fur arger"),
        ("a metre s away", "a metre s away"),
        ("1,234", "one thousand two hundred and thirty four"),
        ("– … !", ""),
        ("1.2.3 or 123456789012345", "1.2.3 or 123456789012345"),
    ],
)
def test_writing_does_not_matter(text: str, sounds: str) -> None:
    """Numbers and units in figures sound like numbers and units in words."""
    assert " ".join(EAR.text(text)) == sounds


def test_the_decimal_mark_is_the_sessions() -> None:
    """86,4 is a decimal where the session writes commas."""
    ear = Ear({}, decimal_mark=",")
    assert ear.word("86,4") == ("eighty", "six", "point", "four")


@given(st.text(max_size=60))
def test_any_text_sounds_like_something(text: str) -> None:
    """Sounds are words without blanks, the same every time."""
    sounds = EAR.text(text)
    assert all(sound and not sound.isspace() and " " not in sound for sound in sounds)
    assert EAR.text(text) == sounds
