"""Whether words stay on screen long enough to be read.

The pace is that of subtitles: the British regulator names 160 to 180 words a minute as the most
for them, and over 200 as difficult (Ofcom, quoted by BBC R&D, "How fast should subtitles be?",
September 2015). A viewer of an overlay also watches the picture, so the slow end is used. Adults
read non-fiction silently at 238 words a minute on average (Brysbaert, "How many words do we read
per minute?", Journal of Memory and Language 109, 2019; from memory).
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from fractions import Fraction

from overlays.checks.findings import Finding

__all__ = [
    "SILENT_WORDS_PER_MIN",
    "WORDS_PER_MIN",
    "count_words",
    "judge_reading_time",
    "reading_s",
]

SILENT_WORDS_PER_MIN = 238
WORDS_PER_MIN = 160

# Scripts written without spaces: kana, and ideographs with their extensions.
_UNSPACED = re.compile(
    "[\u3040-\u30ff\u3400-\u4dbf\u4e00-\u9fff\uf900-\ufaff\U00020000-\U0003ffff]"
)
_CHARACTERS_A_WORD = 2


def count_words(texts: Iterable[str]) -> int:
    """Count the words of what is on screen.

    A word is what stands between spaces and holds a letter or digit: ``148``, ``N·m`` and
    ``12 %`` are one, one and one. Scripts without spaces count two characters as a word (our own
    convention, no source).

    Examples
    --------
    >>> count_words(["Peak torque", "148 N·m – cold"])
    5
    """
    total = 0
    for text in texts:
        unspaced = len(_UNSPACED.findall(text))
        total += -(-unspaced // _CHARACTERS_A_WORD)
        rest = _UNSPACED.sub(" ", text)
        total += sum(any(char.isalnum() for char in word) for word in rest.split())
    return total


def reading_s(words: int, *, words_per_min: int = WORDS_PER_MIN) -> Fraction:
    """Return the least time that reading takes, in seconds: words x 60 / pace."""
    return Fraction(words * 60, words_per_min)


def judge_reading_time(
    texts: Iterable[str], *, frames: int, rate: Fraction, words_per_min: int = WORDS_PER_MIN
) -> Finding:
    """Judge whether the words of an overlay can be read while it shows.

    Parameters
    ----------
    texts : iterable of str
        Every text shown together, numbers included.
    frames : int
        How long the last of them stands complete.
    rate : Fraction
        Frames per second.
    words_per_min : int
        The pace.
    """
    words = count_words(texts)
    needed, shown = reading_s(words, words_per_min=words_per_min), Fraction(frames) / rate
    message = (
        f"{words} words stand for {float(shown):.2f} s; reading them takes {float(needed):.2f} s "
        f"at {words_per_min} words a minute."
    )
    if shown >= needed:
        return Finding("reading-time", "pass", message)
    remedy = "Make the cue longer, or show less."
    return Finding("reading-time", "fail", message, remedy)
