"""Numbers in running text: what is claimed, in which unit, how firmly.

"just under six newton metres more", "eighty-seven percent", "a third less", "€18.50" and "two
thirty-one" are found; counts ("three runs"), ordinals and the number of an episode are not claims
about a measurement and are left alone.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from overlays.outline.speech.number_words import Reading, is_number_word, read_fraction, read_number
from overlays.outline.speech.unit_words import Lexicon
from overlays.units import CURRENCIES

__all__ = ["Claim", "find_claims"]

Form = Literal["amount", "difference", "ratio", "excess"]
Hedge = Literal["", "about", "under", "over"]

_TOKEN = re.compile(
    r"(?P<sign>(?<![\w)])[-−+](?=\d))?(?P<number>\d+(?:[.,]\d+)*)|(?P<word>[^\W\d_]+(?:['’][^\W\d_]+)*)"
)
_STUCK_BEFORE = re.compile(r"[\d:/][:/\-–]?$")
_STUCK_BEHIND = re.compile(r"[:/\-–]\d|[^\W\d_]")
_BEHIND = re.compile(r"[\s\u00a0\u202f]?([^\s\d.,;:!?()]+(?:/[^\s.,;:!?()]+)?)")
# fmt: off
_MORE = {"more", "up", "above", "higher", "ahead", "extra", "faster", "heavier", "longer", "hotter",
         "warmer", "dearer", "stronger", "harder", "better", "taller", "wider", "louder", "later",
         "brighter", "further", "gained"}
_LESS = {"less", "fewer", "down", "below", "lower", "behind", "slower", "lighter", "shorter",
         "cooler", "colder", "cheaper", "weaker", "softer", "worse", "quieter", "dimmer", "sooner",
         "earlier", "short", "lost", "off"}
# fmt: on
_APART = {"between", "apart", "difference", "gap"}
_GAP_BEFORE = {"by", "gap", "lead", "difference", "margin", "leaves", "separates", "gained", "lost"}
_HEDGES: dict[tuple[str, ...], Hedge] = {
    ("about",): "about", ("around",): "about", ("roughly",): "about", ("approximately",): "about",
    ("something", "like"): "about", ("close", "to"): "about", ("some",): "about",
    ("just", "under"): "under", ("almost",): "under", ("nearly",): "under", ("under",): "under",
    ("not", "quite"): "under", ("less", "than"): "under", ("just", "below"): "under",
    ("fewer", "than"): "under", ("just", "over"): "over", ("over",): "over",
    ("more", "than"): "over", ("above",): "over", ("just", "above"): "over",
    ("at", "least"): "over", ("a", "little", "over"): "over", ("a", "bit", "over"): "over",
}  # fmt: skip
# What stands before the number of a thing, not a measurement.
_LABELS = {"episode", "number", "no", "nr", "season", "part", "step", "test", "run", "repeat",
           "day", "round", "chapter", "figure", "page", "take", "version", "mark", "channel", "iso",
           "en", "din", "line"}  # fmt: skip
# Verbs that say what a number without a unit is in: "costs eighteen fifty", "scores ninety".
_MONEY, _MASS = tuple(CURRENCIES), ("g", "kg", "mg", "t", "lb", "oz")
_VERBS: dict[str, tuple[str, ...]] = {
    "cost": _MONEY, "costs": _MONEY, "weigh": _MASS, "weighs": _MASS, "score": ("points",),
    "scores": ("points",), "scored": ("points",),
}  # fmt: skip
_MULTIPLES = {"twice": 2, "double": 2, "triple": 3, "thrice": 3}
_MOST_COUNTED = 12


@dataclass(frozen=True, slots=True)
class Claim:
    """A number that says something.

    Parameters
    ----------
    text : str
        As said, hedge and unit included.
    start, end : int
        Where it stands.
    readings : tuple of Reading
        Every way to understand the number; for ``ratio`` and ``excess`` as a plain ratio, so that
        87 percent is 0.87.
    units : tuple of str
        Every unit it may be in; empty for a ratio or a number without unit.
    form : {"amount", "difference", "ratio", "excess"}
        ``ratio``: one thing as a share or multiple of another. ``excess``: how much more or less,
        as a share.
    hedge : {"", "about", "under", "over"}
        ``under`` says that the truth is a little less.
    side : int
        1 for more, -1 for less, 0 where it is not said.
    """

    text: str
    start: int
    end: int
    readings: tuple[Reading, ...]
    units: tuple[str, ...]
    form: Form
    hedge: Hedge
    side: int


@dataclass(frozen=True, slots=True)
class _Token:
    word: str
    start: int
    end: int
    joined: bool  # only blanks or a hyphen stand before it
    number: Decimal | None = None
    step: Decimal = Decimal(1)


def find_claims(text: str, lexicon: Lexicon, *, decimal_mark: str = ".") -> tuple[Claim, ...]:
    """Find every claim of a text.

    Parameters
    ----------
    text : str
        Running text.
    lexicon : Lexicon
        Which units are known.
    decimal_mark : str
        ``"."`` or ``","``; the other one parts thousands.

    Examples
    --------
    >>> from overlays.outline.speech.unit_words import lexicon
    >>> claims = find_claims("just under six newton metres more", lexicon(["N*m"]))
    >>> [(c.text, c.form, c.hedge, c.side) for c in claims]
    [('just under six newton metres more', 'difference', 'under', 1)]
    """
    return tuple(_Finder(text, lexicon, decimal_mark).claims())


class _Finder:
    """One walk over the tokens of a text."""

    def __init__(self, text: str, lexicon: Lexicon, decimal_mark: str) -> None:
        self.text = text
        self.lexicon = lexicon
        self.tokens = list(_tokens(text, decimal_mark))

    def claims(self) -> Iterator[Claim]:
        place = 0
        while place < len(self.tokens):
            after, claim = self._at(place)
            if claim is not None:
                yield claim
            place = max(after, place + 1)

    def _words(self, place: int) -> list[str]:
        """Return the words from a place up to the next break."""
        words: list[str] = []
        for token in self.tokens[place : place + 16]:
            if words and not token.joined:
                break
            words.append(token.word)
        return words

    def _at(self, place: int) -> tuple[int, Claim | None]:
        """Read what begins at a token: the next token, and the claim if there is one."""
        token, words = self.tokens[place], self._words(place)
        if token.word in _MULTIPLES:
            reading = Reading(Decimal(_MULTIPLES[token.word]), Decimal("0.1"))
            return self._ratio(place, place + 1, reading, bound=True)
        taken, fraction = read_fraction(words)
        if fraction is not None:
            return self._fraction(place, taken, fraction)
        if token.number is not None:
            readings, more = _scaled(Reading(token.number, token.step), words[1:])
            taken = 1 + more
        else:
            taken, readings = read_number(words)
        if not taken:
            return place + 1, None
        return self._number(place, place + taken, readings)

    def _number(
        self, place: int, after: int, readings: tuple[Reading, ...]
    ) -> tuple[int, Claim | None]:
        words = self._words(after) if after < len(self.tokens) else []
        joined = bool(words) and self.tokens[after].joined
        if joined and words[0] == "times":
            bound = len(words) > 1 and words[1] in {"as", "more", "the", "what", *_MORE, *_LESS}
            return self._ratio(place, after + 1, readings[0], bound=bound)
        end, units, after = self._unit(place, after, words if joined else [])
        if units and set(units) <= set(CURRENCIES):
            readings, end, after = self._with_cents(readings, end, after)
        elif not units:
            units = self._meant(place)
        if "%" in units:
            ratios = tuple(Reading(r.value / 100, r.step / 100) for r in readings)
            side, after, end = self._side(after, end)
            form: Form = "excess" if side and self._bare_side(after) else "ratio"
            return after, self._claim(place, end, ratios, form, side=side)
        if not units:
            if self._counts(place, readings):
                return after, None
            return after, self._claim(place, end, readings, "amount")
        side, after, end = self._side(after, end)
        apart = self._apart(place, after)
        form = "difference" if side or apart else "amount"
        return after, self._claim(place, end, readings, form, units=units, side=side)

    def _unit(
        self, place: int, after: int, words: Sequence[str]
    ) -> tuple[int, tuple[str, ...], int]:
        """Return where number and unit end in the text, which units, and the next token."""
        end = self.tokens[after - 1].end
        in_figures = self.tokens[place].number is not None
        if in_figures and (match := _BEHIND.match(self.text, end)):
            written = match[1].rstrip("'’\"”")
            if units := self.lexicon.symbols.get(written):
                end = match.end(1)
                while after < len(self.tokens) and self.tokens[after].start < end:
                    after += 1
                return end, units, after
        taken, units = self.lexicon.read(words)
        if taken:
            return self.tokens[after + taken - 1].end, units, after + taken
        front = self.text[max(0, self.tokens[place].start - 1) : self.tokens[place].start]
        return end, self.lexicon.symbols.get(front, ()) if in_figures else (), after

    def _with_cents(
        self, readings: tuple[Reading, ...], end: int, after: int
    ) -> tuple[tuple[Reading, ...], int, int]:
        """Take in the cents of "eighteen euros fifty"."""
        words = self._words(after) if after < len(self.tokens) else []
        if not words or not self.tokens[after].joined:
            return readings, end, after
        token = self.tokens[after]
        taken, cents = read_number(words)
        if token.number is not None:
            taken, cents = 1, (Reading(token.number, token.step),)
        stop = after + taken
        behind = self._words(stop) if stop < len(self.tokens) and self.tokens[stop].joined else []
        fits = taken and all(r.step == 1 and 10 <= r.value < 100 for r in cents[:1])
        if not fits or self.lexicon.read(behind)[0] or any(r.step != 1 for r in readings):
            return readings, end, after
        whole = tuple(Reading(r.value + cents[0].value / 100, Decimal("0.01")) for r in readings)
        return whole, self.tokens[stop - 1].end, stop

    def _meant(self, place: int) -> tuple[str, ...]:
        """Return the units that the verb right before a number without one says it is in."""
        start, _ = self._hedge(place)
        # A hedge is three words at most, so the verb is no further than four.
        near = self.tokens[max(0, place - 4) : place]
        before = [token.word for token in near if token.end <= start]
        family = _VERBS.get(before[-1], ()) if before else ()
        known = [unit for units in self.lexicon.words.values() for unit in units] if family else ()
        return tuple(dict.fromkeys(unit for unit in known if unit in family))

    def _fraction(self, place: int, taken: int, fraction: Reading) -> tuple[int, Claim | None]:
        after = place + taken
        words = self._words(after) if after < len(self.tokens) else []
        lead = 2 if words[:2] in (["of", "a"], ["of", "an"]) else 1 if words[:1] == ["a"] else 0
        count, units = self.lexicon.read(words[lead:])
        if count and "%" not in units:
            stop = after + lead + count
            end = self.tokens[stop - 1].end
            side, stop, end = self._side(stop, end)
            form: Form = "difference" if side or self._apart(place, stop) else "amount"
            return stop, self._claim(place, end, (fraction,), form, units=units, side=side)
        return self._ratio(place, after, fraction, bound=words[:1] in (["as"], ["of"]))

    def _ratio(
        self, place: int, after: int, reading: Reading, *, bound: bool
    ) -> tuple[int, Claim | None]:
        """Make a ratio of "twice", "a third …"; without what binds it, it is no claim."""
        words = self._words(after) if after < len(self.tokens) else []
        end = self.tokens[after - 1].end
        if words[:1] == ["as"] and len(words) > 1:
            again = 3 if words[2:3] == ["again"] else 2
            after += again
            end = self.tokens[after - 1].end
            if again == 3:
                return after, self._claim(place, end, (reading,), "excess", side=1)
            return after, self._claim(place, end, (reading,), "ratio")
        side, after, end = self._side(after, end)
        if side:
            return after, self._claim(place, end, (reading,), "excess", side=side)
        if bound or words[:1] == ["the"]:
            return after, self._claim(place, end, (reading,), "ratio")
        return after, None

    def _side(self, after: int, end: int) -> tuple[int, int, int]:
        """Look for "more" or "less" right behind: the side, the next token, the end."""
        if after < len(self.tokens):
            token = self.tokens[after]
            near = not self.text[end : token.start].strip()
            if near and (token.word in _MORE or token.word in _LESS):
                return (1 if token.word in _MORE else -1), after + 1, token.end
        return 0, after, end

    def _bare_side(self, after: int) -> bool:
        """Say whether "87 percent down" compares, rather than "87 percent more of …"."""
        return not (after < len(self.tokens) and self.tokens[after].word == "of")

    def _apart(self, place: int, after: int) -> bool:
        """Say whether a gap is spoken of: "a lead of 6 N·m", "that leaves 6 N·m between them"."""
        before = [token.word for token in self.tokens[max(0, place - 3) : place]]
        behind = [token.word for token in self.tokens[after : after + 2]]
        return bool(_GAP_BEFORE & set(before)) or bool(_APART & set(behind))

    def _counts(self, place: int, readings: Sequence[Reading]) -> bool:
        """Say whether a number without unit merely counts or names something."""
        before = self.tokens[place - 1].word if place else ""
        small = all(r.step == 1 and abs(r.value) <= _MOST_COUNTED for r in readings)
        token = self.tokens[place]
        # "mk2", "12:30", "2031-05-04", "3/4" and "10x" are names, clock times, dates and sizes.
        stuck = token.number is not None and (
            _STUCK_BEFORE.search(self.text[max(0, token.start - 2) : token.start])
            or _STUCK_BEHIND.match(self.text, token.end)
        )
        return small or before in _LABELS or bool(stuck)

    def _claim(
        self,
        place: int,
        end: int,
        readings: tuple[Reading, ...],
        form: Form,
        *,
        units: tuple[str, ...] = (),
        side: int = 0,
    ) -> Claim:
        start, hedge = self._hedge(place)
        return Claim(self.text[start:end], start, end, readings, units, form, hedge, side)

    def _hedge(self, place: int) -> tuple[int, Hedge]:
        before = [token.word for token in self.tokens[max(0, place - 3) : place]]
        for length in (3, 2, 1):
            hedge = _HEDGES.get(tuple(before[-length:])) if len(before) >= length else None
            if hedge is not None:
                return self.tokens[place - length].start, hedge
        token = self.tokens[place]
        # A sign or a currency stands in front of the number: €18.50.
        front = self.text[max(0, token.start - 1) : token.start]
        return token.start - (front in self.lexicon.symbols and front != ""), ""


def _tokens(text: str, decimal_mark: str) -> Iterator[_Token]:
    end = 0
    for match in _TOKEN.finditer(text):
        joined = re.fullmatch(r"[\s\-–\u00a0\u202f]*", text[end : match.start()]) is not None
        word = (match["word"] or match["number"]).casefold().replace("’", "'")
        number, step = _number(match["number"], decimal_mark) if match["number"] else (None, 1)
        if number is not None and match["sign"] in ("-", "−"):
            number = -number
        end = match.end()
        yield _Token(word, match.start(), end, joined, number, Decimal(step))


def _number(written: str, decimal_mark: str) -> tuple[Decimal | None, Decimal]:
    """Read a number in figures; None where marks stand as in no number (a date, a version)."""
    grouping = "," if decimal_mark == "." else "."
    whole, _, decimals = written.partition(decimal_mark)
    grouped = re.fullmatch(rf"\d{{1,3}}(\{grouping}\d{{3}})+|\d+", whole)
    if not grouped or not re.fullmatch(r"\d*", decimals) or len(written) > 20:
        return None, Decimal(1)
    digits = whole.replace(grouping, "") + (f".{decimals}" if decimals else "")
    return Decimal(digits), Decimal(1).scaleb(-len(decimals))


def _scaled(reading: Reading, words: Sequence[str]) -> tuple[tuple[Reading, ...], int]:
    """Take in "thousand" and "and a half" behind a number in figures."""
    sizes = {"thousand": 1000, "million": 10**6}
    if words and words[0] in sizes:
        size = sizes[words[0]]
        return (Reading(reading.value * size, reading.step * size),), 1
    if words[:1] == ["and"] and not any(is_number_word(word) for word in words[1:2]):
        taken, part = read_fraction(words[1:])
        if part is not None:
            return (Reading(reading.value + part.value, part.step),), taken + 1
    return (reading,), 0
