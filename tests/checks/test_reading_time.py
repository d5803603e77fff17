"""Reading time of words on screen; sources stand in data/checks/safe_text.json."""

from __future__ import annotations

from fractions import Fraction

import pytest

from overlays.checks.reading_time import WORDS_PER_MIN, count_words, judge_reading_time, reading_s
from tests.outside import Row, rows


@pytest.mark.parametrize("row", rows("safe_text", "read.time"), ids=lambda row: row.id)
def test_reading_takes_words_over_pace(row: Row) -> None:
    """So many words at such a pace take the worked-out seconds."""
    seconds = reading_s(row.input["words"], words_per_min=row.input["wpm"])
    assert float(seconds) == pytest.approx(row.expected["min_seconds"], rel=1e-12)


def test_the_pace_is_the_slow_end_of_the_published_range() -> None:
    """The pace used is the lower of the regulator's two figures."""
    (row,) = rows("safe_text", "read.ofcom")
    assert min(row.expected["max_wpm"]) == WORDS_PER_MIN


@pytest.mark.parametrize(
    ("texts", "words"),
    [
        ([], 0),
        (["Alder"], 1),
        (["Peak torque", "148 N·m – cold"], 5),
        (["+12 %", "–", "·"], 1),
        (["non‑breaking hyphen"], 2),
        (["東京タワー"], 3),
        (["فولاد صلب"], 2),
    ],
)
def test_words_are_counted(texts: list[str], words: int) -> None:
    """Marks alone are no words, and scripts without spaces count by characters."""
    assert count_words(texts) == words


def test_words_that_stand_long_enough_pass_and_a_frame_less_fails() -> None:
    """Eight words take 3 s at 160 a minute: 75 frames at 25 pass, 74 do not."""
    texts = ["one two three four five six seven eight"]
    assert judge_reading_time(texts, frames=75, rate=Fraction(25)).verdict == "pass"
    finding = judge_reading_time(texts, frames=74, rate=Fraction(25))
    assert finding.verdict == "fail"
    assert "8 words stand for 2.96 s; reading them takes 3.00 s at 160" in finding.message
