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

__all__ = ["Ear", "unit_sounds"]

_PIECE = re.compile(r"(?P<number>\d+(?:[.,]\d+)*)|(?P<word>[^\W\d_]+(?:['’][^\W\d_]+)*)")
_MARKS = ".,;:!?'\"()[]{}…–—"
_SIGN = re.compile(r"[^\s\w.,;:!?'\"()\[\]{}…–—-]+|[A-Za-zµΩ]+[·*/][\w·*/€$²³]+")


def unit_sounds(lexicon: Lexicon) -> Mapping[str, tuple[str, ...]]:
    """Return what the symbols of a lexicon sound like."""
    return {
        symbol: tuple(_words(spoken_unit(units[0])))
        for symbol, units in lexicon.symbols.items()
        if units[0] != "points"
    }


class Ear:
    """Says what written words sound like, and remembers it.

    Parameters
    ----------
    units : Mapping[str, tuple of str]
        What unit symbols sound like, from `unit_sounds`.
    decimal_mark : str
        As the session says.
    """

    def __init__(self, units: Mapping[str, tuple[str, ...]], *, decimal_mark: str = ".") -> None:
        self.units = units
        self.decimal_mark = decimal_mark
        self._known: dict[str, tuple[str, ...]] = {}

    def word(self, word: str) -> tuple[str, ...]:
        """Return what one written word sounds like: words in lower case, without accents.

        Parameters
        ----------
        word : str
            What stands between two blanks.

        Examples
        --------
        >>> ear = Ear({"g": ("grams",)})
        >>> ear.word("86.4,"), ear.word("21g"), ear.word("Öl-Test!")
        (('eighty', 'six', 'point', 'four'), ('twenty', 'one', 'grams'), ('ol', 'test'))
        """
        if word not in self._known:
            self._known[word] = tuple(self._sounds(word))
        return self._known[word]

    def text(self, text: str) -> list[str]:
        """Return what a text sounds like, word by word."""
        return [sound for word in text.split() for sound in self.word(word)]

    def _sounds(self, word: str) -> Iterator[str]:
        if not any(char.isdecimal() for char in word):
            bare = word.strip(_MARKS)
            # A lone letter is a word before it is a unit.
            known = bare in self.units and (len(bare) > 1 or not bare.isalpha())
            yield from self.units[bare] if known else _words(word)
            return
        end = 0
        for match in _PIECE.finditer(word):
            yield from _sign(word[end : match.start()], self.units)
            end = match.end()
            if match["number"]:
                yield from _number(match["number"], self.decimal_mark)
            else:
                yield from self.units.get(match["word"], tuple(_words(match["word"])))
        yield from _sign(word[end:], self.units)


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
