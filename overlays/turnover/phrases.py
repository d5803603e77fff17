"""Cutting a spoken text into pieces that are read at a glance."""

from __future__ import annotations

__all__ = ["LINE_CHARACTERS", "phrases"]

LINE_CHARACTERS = 32
_FULL = 2 * LINE_CHARACTERS
_SENTENCE_END = (".", "!", "?", "…")
_CLAUSE_END = (",", ";", ":", "–", "—")
# Costs of a piece, our own choice by eye: none where it ends with a sentence, some where it ends
# with a clause, most in the middle of one; some for running on into the next sentence; and up to
# `_EMPTY_COST` for being short.
_CLAUSE_COST, _OPEN_COST, _RUN_ON_COST, _EMPTY_COST = 0.2, 0.9, 0.3, 0.5


def phrases(text: str) -> tuple[tuple[str, ...], ...]:
    """Cut a text into pieces of one or two lines of at most 32 characters.

    Breaks go after sentences first, then after clauses, and pieces come out about equally full:
    the cut of least total cost is found by dynamic programming over the words, as Knuth and Plass
    break paragraphs ("Breaking paragraphs into lines", 1981).

    Returns
    -------
    tuple of tuple of str
        Each piece's lines. A word longer than a line stands alone on one.

    Examples
    --------
    >>> phrases("Short. And the second one is a little longer, as you see.")
    (('Short. And the second one is', 'a little longer, as you see.'),)
    """
    words = text.split()
    best: list[tuple[float, int]] = [(0.0, 0)]
    for end in range(1, len(words) + 1):
        start = end - 1
        options = [(best[start][0] + _cost(words[start:end]), start)]
        # A piece that spills over only grows further with more words in front.
        while start and _length(words[start - 1 : end]) <= _FULL + 1:
            start -= 1
            if _split(words[start:end]) is not None:
                options.append((best[start][0] + _cost(words[start:end]), start))
        best.append(min(options))
    cuts, end = [], len(words)
    while end:
        start = best[end][1]
        cuts.append(_lines(words[start:end]))
        end = start
    return tuple(reversed(cuts))


def _cost(words: list[str]) -> float:
    cost = _EMPTY_COST * max(0.0, 1 - _length(words) / _FULL) ** 2
    cost += _RUN_ON_COST * sum(_ends(word, _SENTENCE_END) for word in words[:-1])
    if _ends(words[-1], _SENTENCE_END):
        return cost
    return cost + (_CLAUSE_COST if _ends(words[-1], _CLAUSE_END) else _OPEN_COST)


def _ends(word: str, marks: tuple[str, ...]) -> bool:
    return word.rstrip("\"'”’)").endswith(marks)


def _length(words: list[str]) -> int:
    return sum(map(len, words)) + len(words) - 1


def _split(words: list[str]) -> int | None:
    """Return where the second line begins (0: one line does), None where two are too few."""
    if _length(words) <= LINE_CHARACTERS:
        return 0
    best = None
    for cut in range(1, len(words)):
        first, second = _length(words[:cut]), _length(words[cut:])
        if max(first, second) <= LINE_CHARACTERS:
            pause = _ends(words[cut - 1], _SENTENCE_END + _CLAUSE_END)
            rank = (not pause, abs(first - second))
            best = min(best, (rank, cut)) if best else (rank, cut)
    return best[1] if best else None


def _lines(words: list[str]) -> tuple[str, ...]:
    cut = _split(words)
    if not cut:
        return (" ".join(words),)
    return " ".join(words[:cut]), " ".join(words[cut:])
