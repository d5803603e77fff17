"""Words of script and captions made comparable: how a word sounds, not how it is written.

"86.4 N·m", "86.4 newton metres" and "eighty-six point four newton meters" become the same row of
words, but for a letter.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Mapping

from overlays.outline.speech.number_words import say_number
from overlays.outline.speech.unit_words import Lexicon, spoken_unit

__all__ = ["sounds", "unit_sounds"]

_PIECE = re.compile(r"(?P<number>\d+(?:[.,]\d+)*)|(?P<word>[^\W\d_]+(?:['’][^\W\d_]+)*)")
_SIGN = re.compile(r"[^\s\w.,;:!?'\"()\[\]{}…–—-]+|[A-Za-zµΩ]+[·*/][\w·*/€$²³]+")


def unit_sounds(lexicon: Lexicon) -> Mapping[str, tuple[str, ...]]:
    """Return what the symbols of a lexicon sound like."""
    return {
        symbol: tuple(_words(spoken_unit(units[0])))
        for symbol, units in lexicon.symbols.items()
        if units[0] != "points"
    }


def sounds(
    word: str, units: Mapping[str, tuple[str, ...]], *, decimal_mark: str = "."
) -> tuple[str, ...]:
    """Return what one written word sounds like, as words in lower case without accents.

    Parameters
    ----------
    word : str
        What stands between two blanks.
    units : Mapping[str, tuple of str]
        From `unit_sounds`.
    decimal_mark : str
        As the session says.

    Examples
    --------
    >>> sounds("86.4,", {}), sounds("21g", {"g": ("grams",)}), sounds("Öl-Test!", {})
    (('eighty', 'six', 'point', 'four'), ('twenty', 'one', 'grams'), ('ol', 'test'))
    """
    if not any(char.isdecimal() for char in word):
        bare = word.strip(".,;:!?'\"()[]{}…–—")
        if bare in units and (len(bare) > 1 or not bare.isalpha()):
            return units[bare]
        return tuple(_words(word))
    heard: list[str] = []
    end = 0
    for match in _PIECE.finditer(word):
        heard += _sign(word[end : match.start()], units)
        end = match.end()
        if match["number"]:
            heard += _number(match["number"], decimal_mark)
        else:
            heard += units.get(match["word"], tuple(_words(match["word"])))
    return (*heard, *_sign(word[end:], units))


def _sign(text: str, units: Mapping[str, tuple[str, ...]]) -> tuple[str, ...]:
    match = _SIGN.search(text)
    return units.get(match[0], ()) if match else ()


def _number(written: str, decimal_mark: str) -> Iterator[str]:
    other = "," if decimal_mark == "." else "."
    plain = written.replace(other, "").replace(decimal_mark, ".")
    if plain.count(".") > 1 or len(plain) > 12:
        yield written
        return
    yield from _words(say_number(plain))


def _words(text: str) -> Iterator[str]:
    bare = "".join(
        char for char in unicodedata.normalize("NFKD", text) if not unicodedata.combining(char)
    )
    for match in _PIECE.finditer(bare.casefold()):
        yield match[0].replace("’", "").replace("'", "")
