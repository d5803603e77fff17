"""Reading time against published guidance."""

from __future__ import annotations

import pytest

from overlays.outline.reading import READING_WORDS_PER_MIN, reading_s, words_on_screen
from tests.outside import Row, rows


@pytest.mark.parametrize("row", rows("safe_text", "read.time"), ids=lambda row: row.id)
def test_reading_takes_words_times_pace(row: Row) -> None:
    """The least time is words · 60 / words a minute (exact arithmetic)."""
    text = "word " * row.input["words"]
    found = reading_s(text, words_per_min=row.input["wpm"])
    assert found == pytest.approx(row.expected["min_seconds"], abs=float(row.tol))


def test_the_pace_is_the_slow_end_of_the_guidance() -> None:
    """Ofcom: at most 160 to 180 words a minute (as quoted by BBC R&D, 2015)."""
    (row,) = rows("safe_text", "read.ofcom")
    assert min(row.expected["max_wpm"]) == READING_WORDS_PER_MIN


@pytest.mark.parametrize(
    ("text", "words"), [("", 0), ("86.4 N·m", 2), ("– · –", 0), ("one two", 2)]
)
def test_words_are_what_a_reader_meets(text: str, words: int) -> None:
    """Numbers and units count as words, stray marks do not."""
    assert words_on_screen(text) == words
