"""How long words on screen take to read.

Ofcom, the United Kingdom's broadcast regulator, asks for subtitles of no more than 160 to 180
words a minute and finds more than 200 hard to follow (as quoted by BBC Research & Development,
"How fast should subtitles be?", 2015). The slower end is taken: an overlay is read while somebody
speaks and something moves.
"""

from __future__ import annotations

import re

__all__ = ["READING_WORDS_PER_MIN", "reading_s", "words_on_screen"]

READING_WORDS_PER_MIN = 160
_WORD = re.compile(r"\S*\w\S*")


def words_on_screen(text: str) -> int:
    """Count the words of a text as a reader meets them; a number with its unit is two."""
    return len(_WORD.findall(text))


def reading_s(text: str, *, words_per_min: float = READING_WORDS_PER_MIN) -> float:
    """Return how long a text takes to read, in seconds.

    Examples
    --------
    >>> reading_s("seven words take so long to read")
    2.625
    """
    return words_on_screen(text) * 60 / words_per_min
