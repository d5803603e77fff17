"""Matching words of script and captions."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.outline.voice.alignment import align, likeness
from tests.outline.voices import VOCABULARY, seeded


def _pairs(script: str, heard: str) -> list[int | None]:
    matches = align(script.split(), heard.split())
    return [None if match is None else match.heard for match in matches]


@pytest.mark.parametrize(
    ("script", "heard", "places"),
    [
        ("a b c", "a b c", [0, 1, 2]),
        ("alder makes eighty", "well alder makes um eighty", [1, 2, 4]),
        ("the rotor went to two hundred", "the motor went to two hundred", [0, 1, 2, 3, 4, 5]),
        ("one two three four", "one zzz three four", [0, 1, 2, 3]),
        ("one two three four", "one three four", [0, None, 1, 2]),
        ("a b c d e", "a b c um a b c d e", [4, 5, 6, 7, 8]),
        ("a b c d e", "a b c d e uh a b c d e", [6, 7, 8, 9, 10]),
        ("", "a b", []),
        ("a b", "", [None, None]),
    ],
)
def test_small_cases_by_hand(script: str, heard: str, places: list[int | None]) -> None:
    """Ad-libs are skipped, misheard words keep their slot, the later take is used."""
    assert _pairs(script, heard) == places


@given(st.lists(st.sampled_from("abcdefgh"), max_size=40),
       st.lists(st.sampled_from("abcdefgh"), max_size=40))  # fmt: skip
def test_matches_run_forward(script: list[str], heard: list[str]) -> None:
    """Heard words are used once, in order, and likeness is between 0 and 1."""
    matches = align(script, heard)
    assert len(matches) == len(script)
    places = [match.heard for match in matches if match is not None]
    assert places == sorted(set(places))
    assert all(0 <= match.likeness <= 1 for match in matches if match is not None)
    assert all(place < len(heard) for place in places)


@pytest.mark.parametrize("seed", range(4))
def test_a_long_script_is_found_again(seed: int) -> None:
    """Of 3000 words with a fifth changed, dropped or repeated, nearly all of the rest are found."""
    rng = seeded(seed)
    script = [f"{rng.choice(VOCABULARY)}" for _ in range(3000)]
    heard: list[str] = []
    truth: list[int | None] = []
    for word in script:
        fate = rng.random()
        if 0.07 <= fate < 0.14:
            truth.append(None)
            continue
        if fate < 0.07:
            heard.append(rng.choice(VOCABULARY))
        elif fate < 0.2:
            heard += [word, word]
        else:
            heard.append(word)
        truth.append(len(heard) - 1 if fate >= 0.14 else None)
    matches = align(script, heard)
    right = sum(
        match is not None and match.heard == place
        for match, place in zip(matches, truth, strict=True)
        if place is not None
    )
    assert right / sum(place is not None for place in truth) > 0.97


def test_a_passage_from_elsewhere_matches_nothing() -> None:
    """Captions of another recording match no more than stray words."""
    rng = seeded(5)
    script = [rng.choice(VOCABULARY) for _ in range(2000)]
    heard = [f"{rng.choice(VOCABULARY)[::-1]}q" for _ in range(2000)]
    assert sum(match is not None for match in align(script, heard)) < 20


def test_likeness_is_that_of_rapidfuzz() -> None:
    """1 for the same word, 0 for nothing in common, in between by shared letters."""
    table = likeness(["metre", "brake"], ["metre", "meter", "zzz"])
    assert table.shape == (2, 3)
    assert table[0, 0] == 1
    assert table[0, 1] == pytest.approx(0.8)
    assert table[1, 2] == 0
