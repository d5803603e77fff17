"""English number words: written from numbers, and read as people say them.

People leave things out: "two thirty-one" may be 231 or 2.31, "eighteen fifty" 1850 or 18.50. All
readings are kept; whoever knows the data chooses. Each comes with its step, the grain it was said
in: a whole number is said to the nearest one, "and a half" to the nearest half.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

__all__ = ["Reading", "is_number_word", "read_fraction", "read_number", "say_number"]

# fmt: off
_ONES = ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
         "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen",
         "nineteen"]
_TENS = ["", "", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
# fmt: on
_SCALES = {"thousand": 1000, "million": 10**6, "billion": 10**9}
_SMALL = {word: number for number, word in enumerate(_ONES)}
_ROUND = {word: 10 * number for number, word in enumerate(_TENS) if word}
_NOUGHT = ("oh", "o")
_PARTS = {
    "half": 2, "halves": 2, "third": 3, "thirds": 3, "quarter": 4, "quarters": 4, "fifth": 5,
    "fifths": 5, "sixth": 6, "sixths": 6, "eighth": 8, "eighths": 8, "tenth": 10, "tenths": 10,
}  # fmt: skip
_LONGEST = 12


@dataclass(frozen=True, slots=True)
class Reading:
    """One way to understand a number.

    Parameters
    ----------
    value : Decimal
        The number.
    step : Decimal
        The grain it is said in: 1 for a whole number, 0.1 with one decimal.
    """

    value: Decimal
    step: Decimal


def say_number(written: str) -> str:
    """Write out a decimal number in words, decimals one by one.

    Examples
    --------
    >>> say_number("86.4"), say_number("231"), say_number("-0.05")
    ('eighty-six point four', 'two hundred and thirty-one', 'minus zero point zero five')
    """
    number = Decimal(written)
    whole, _, decimals = f"{abs(number):f}".partition(".")
    words = _whole(int(whole))
    if decimals:
        words += " point " + " ".join(_ONES[int(digit)] for digit in decimals)
    return f"minus {words}" if number < 0 else words


def _whole(number: int) -> str:
    for word, size in reversed(_SCALES.items()):
        if number >= size:
            rest = number % size
            joint = " and " if 0 < rest < 100 else " "
            return f"{_whole(number // size)} {word}" + (joint + _whole(rest) if rest else "")
    if number >= 100:
        rest = number % 100
        return f"{_ONES[number // 100]} hundred" + (f" and {_whole(rest)}" if rest else "")
    if number < 20:
        return _ONES[number]
    return _TENS[number // 10] + (f"-{_ONES[number % 10]}" if number % 10 else "")


def is_number_word(word: str) -> bool:
    """Say whether a word can be part of a number."""
    return word in _SMALL or word in _ROUND or word in _SCALES or word == "hundred"


def read_number(words: Sequence[str]) -> tuple[int, tuple[Reading, ...]]:
    """Read the longest number at the beginning of some words.

    Parameters
    ----------
    words : sequence of str
        In lower case, hyphens taken apart.

    Returns
    -------
    (int, tuple of Reading)
        How many words it took, and every way to understand them; 0 and none where the words do not
        begin with a number.

    Examples
    --------
    >>> read_number("two thirty one degrees".split())[1][0].value
    Decimal('231')
    """
    length = _run(words)
    while length:
        readings = _readings(words[:length])
        if readings:
            return _with_part(words, length, readings)
        length -= 1
    return 0, ()


def _run(words: Sequence[str]) -> int:
    """Count the words that could belong to one number."""
    length = 0
    for place, word in enumerate(words[:_LONGEST]):
        following = words[place + 1] if place + 1 < len(words) else ""
        before = words[place - 1] if place else ""
        fits = (
            is_number_word(word)
            or (word in _NOUGHT and place and following in _SMALL)
            or (word == "point" and (following in _SMALL or following in _ROUND
                or following in _NOUGHT))
            or (word in ("a", "an") and not place and following in ("hundred", "thousand"))
            or (word == "and" and (before == "hundred" or before in _SCALES)
                and (following in _SMALL or following in _ROUND))
        )  # fmt: skip
        if not fits:
            break
        length = place + 1
    return length


def _readings(words: Sequence[str]) -> tuple[Reading, ...]:
    if "point" in words:
        at = list(words).index("point")
        return _decimal(words[:at], words[at + 1 :])
    found: dict[Decimal, Reading] = {}
    cardinal = _cardinal(words)
    if cardinal is not None:
        found[Decimal(cardinal)] = Reading(Decimal(cardinal), Decimal(1))
    groups = _groups(words)
    if groups is not None and len(groups) > 1:
        width = max(len(group) for group in groups)
        digits = Decimal(groups[0] + "".join(group.zfill(width) for group in groups[1:]))
        found.setdefault(digits, Reading(digits, Decimal(1)))
        if len(set(groups)) == 1:  # "thirty thirty seconds": a slip of the tongue
            once = Decimal(groups[0])
            found.setdefault(once, Reading(once, Decimal(1)))
        if len(groups[-1]) == 2 and len(groups) == 2:
            hundredths = Decimal(groups[0]) + Decimal(groups[1]) / 100
            found.setdefault(hundredths, Reading(hundredths, Decimal("0.01")))
    return tuple(found.values())


def _decimal(whole: Sequence[str], after: Sequence[str]) -> tuple[Reading, ...]:
    groups = _groups(after)
    if groups is None or (len(groups) > 1 and any(len(group) > 1 for group in groups)):
        return ()
    decimals = "".join(groups)
    fronts = _readings(whole) if whole else (Reading(Decimal(0), Decimal(1)),)
    step = Decimal(1).scaleb(-len(decimals))
    return tuple(
        Reading(front.value + Decimal(decimals) * step, step) for front in fronts if front.step == 1
    )


def _cardinal(words: Sequence[str]) -> int | None:
    """Read a number in full words, or None where they do not follow one another so."""
    total, group, last = 0, 0, 10**12
    scale_before = 10**12
    for word in words:
        if word in _SMALL or word in _ROUND:
            value = _SMALL.get(word, _ROUND.get(word, 0))
            # After "thirty" only one to nine, after "hundred" or a scale anything below.
            allowed = 100 if last >= 100 else 10 if last in _ROUND.values() and value else 0
            if value >= allowed:
                return None
            group, last = group + value, value or 1
        elif word in ("a", "an"):
            group, last = 1, 1
        elif word == "hundred":
            if not 0 < group < 100:
                return None
            group, last = group * 100, 100
        elif word in _SCALES:
            if not group or _SCALES[word] >= scale_before:
                return None
            scale_before = _SCALES[word]
            total, group, last = total + group * scale_before, 0, scale_before
        elif word != "and":
            return None
    return total + group


def _groups(words: Sequence[str]) -> list[str] | None:
    """Take words as a row of numbers below 100: "two thirty one" is 2 and 31, "oh five" is 05."""
    groups: list[str] = []
    last = ""
    for word in words:
        if word in _NOUGHT:
            groups.append("0")
        elif word in _ROUND:
            groups.append(str(_ROUND[word]))
        elif word in _SMALL and last in _ROUND and 0 < _SMALL[word] < 10:
            groups[-1] = str(int(groups[-1]) + _SMALL[word])
        elif word in _SMALL and last in _NOUGHT:
            groups[-1] += str(_SMALL[word])
        elif word in _SMALL:
            groups.append(str(_SMALL[word]))
        else:
            return None
        last = word
    return groups or None


def _with_part(
    words: Sequence[str], length: int, readings: tuple[Reading, ...]
) -> tuple[int, tuple[Reading, ...]]:
    """Add "and a half" and the like to a whole number."""
    if len(words) > length and words[length] == "and":
        taken, part = read_fraction(words[length + 1 :])
        if part is not None and part.value < 1:
            whole = tuple(r for r in readings if r.step == 1)
            added = tuple(Reading(r.value + part.value, part.step) for r in whole)
            return (length + 1 + taken, added) if added else (length, readings)
    return length, readings


def read_fraction(words: Sequence[str]) -> tuple[int, Reading | None]:
    """Read "a third", "half", "two thirds" or "three quarters" at the beginning of some words.

    Returns
    -------
    (int, Reading or None)
        How many words it took; 0 and None where there is none. The step is the named part.

    Examples
    --------
    >>> read_fraction("three quarters of it".split())[1].value
    Decimal('0.75')
    """
    if words and words[0] == "half":
        taken, count, part = 1, 1, 2
    elif len(words) > 1 and words[1] in _PARTS and (words[0] in ("a", "an") or words[0] in _SMALL):
        taken, count, part = 2, _SMALL.get(words[0], 1), _PARTS[words[1]]
    else:
        return 0, None
    exact = Decimal(count) / Decimal(part)
    return taken, Reading(exact, Decimal(1) / Decimal(part))
