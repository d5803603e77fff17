"""Cutting narration into pieces."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.turnover.phrases import LINE_CHARACTERS, phrases

WORDS = st.lists(
    st.text(alphabet=st.characters(categories=("L", "N", "P")), min_size=1, max_size=45),
    max_size=40,
)


@given(WORDS)
def test_no_word_is_lost_and_no_line_too_long(words: list[str]) -> None:
    """All words come out in order; a line is too long only where one word is."""
    text = " ".join(words)
    pieces = phrases(text)
    assert " ".join(line for piece in pieces for line in piece).split() == text.split()
    for piece in pieces:
        assert 1 <= len(piece) <= 2
        for line in piece:
            assert len(line) <= LINE_CHARACTERS or " " not in line


@pytest.mark.parametrize(
    ("text", "pieces"),
    [
        ("", ()),
        ("One line only.", (("One line only.",),)),
        # Two sentences of 40 characters each: cut between them, not where the first piece is full.
        (
            "The first of two pads stops in six tries. The second of them never stops at all now.",
            (
                ("The first of two pads", "stops in six tries."),
                ("The second of them", "never stops at all now."),
            ),
        ),
        # A clause of 37 and one of 40 characters: cut at the comma.
        (
            "As soon as the rotor is wet and cold, the second pad loses half of what it had",
            (
                ("As soon as the rotor", "is wet and cold,"),
                ("the second pad loses", "half of what it had"),
            ),
        ),
        ("x" * 40 + " and on.", (("x" * 40,), ("and on.",))),
    ],
)
def test_breaks_go_where_a_speaker_pauses(text: str, pieces: tuple[tuple[str, ...], ...]) -> None:
    """Sentences first, then clauses, then evenness; worked out by hand."""
    assert phrases(text) == pieces


def test_a_long_narration_is_cut_quickly() -> None:
    """Work grows with the words, not with their square: an hour's script is no trouble."""
    text = "Four sets of pads, one wheel, one stop after another. " * 300
    assert len(phrases(text)) == 300
