"""References to figures in narration: ``{alder cold_mean minus dune cold_mean in lbf*ft}``.

A reference is an entry and one of its figures or attributes, alone or set against a second pair,
and then how to write it::

    {ENTRY NAME}                          the figure as measured
    {ENTRY NAME minus ENTRY NAME}         their difference
    {ENTRY NAME over ENTRY NAME}          their ratio
    {ENTRY NAME against ENTRY NAME}       how much more or less, as a share: "8 % more"
    … in UNIT   … to N places             converted, rounded otherwise
    … bare      … unsigned                without its unit, without its sign
    … about                               as people round: "just over 85 N·m", "a third more"
    … in words                            written out: "eighty-six point four newton metres"

A difference is that of the two values as they are shown, for that is the sum a viewer does; a
ratio is taken of the unrounded values and rounded once.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from overlays.errors import OutlineError

__all__ = ["Operand", "Reference", "parse_reference"]

Operation = Literal["minus", "over", "against"]
_WORD = re.compile(r"[a-z][a-z0-9_]*")
_OPERATIONS: dict[str, Operation] = {"minus": "minus", "over": "over", "against": "against"}
_FLAGS = ("bare", "about", "unsigned")
_HOW = ("in", "to", *_FLAGS)
_MOST_PLACES = 6


@dataclass(frozen=True, slots=True)
class Operand:
    """An entry and the key of one of its figures or attributes."""

    entry: str
    name: str


@dataclass(frozen=True, slots=True)
class Reference:
    """A reference as written.

    Parameters
    ----------
    first : Operand
        What is meant.
    operation : {"minus", "over", "against"} or None
        What is taken of it and `second`.
    second : Operand or None
        The other one.
    unit : str or None
        Unit asked for.
    places : int or None
        Decimals asked for.
    bare, unsigned : bool
        Without its unit, without its sign.
    about : bool
        Rounded as people round.
    in_words : bool
        Number and unit written out.
    """

    first: Operand
    operation: Operation | None = None
    second: Operand | None = None
    unit: str | None = None
    places: int | None = None
    bare: bool = False
    unsigned: bool = False
    about: bool = False
    in_words: bool = False


def parse_reference(text: str) -> Reference:
    """Read what stands between the braces.

    Raises
    ------
    OutlineError
        If it is written otherwise than above.
    """
    words = text.split()
    first = _operand(words, text)
    operation = _OPERATIONS.get(words[0]) if words else None
    second = None
    if operation:
        words.pop(0)
        second = _operand(words, text)
    unit: str | None = None
    places: int | None = None
    in_words = False
    flags = dict.fromkeys(_FLAGS, False)
    while words:
        word = words.pop(0)
        if word == "in" and words[:1] == ["words"] and not in_words:
            in_words = True
            words.pop(0)
        elif word == "in" and unit is None:
            unit = _unit(words, text)
        elif word == "to" and places is None:
            places = _places(words, text)
        elif flags.get(word) is False:
            flags[word] = True
        else:
            raise _not_read(text, f"{word!r} is not understood there")
    if places is not None and flags["about"]:
        raise _not_read(text, "'about' chooses the rounding itself, so 'to' cannot stand with it")
    return Reference(first, operation, second, unit, places, in_words=in_words, **flags)


def _operand(words: list[str], text: str) -> Operand:
    if len(words) < 2 or not (_WORD.fullmatch(words[0]) and _WORD.fullmatch(words[1])):
        raise _not_read(text, "an entry and a figure are expected, by their keys")
    return Operand(words.pop(0), words.pop(0))


def _unit(words: list[str], text: str) -> str:
    unit = []
    while words and words[0] not in _HOW:
        unit.append(words.pop(0))
    if not unit:
        raise _not_read(text, "a unit is expected after 'in'")
    return " ".join(unit)


def _places(words: list[str], text: str) -> int:
    if len(words) < 2 or words[1] not in ("place", "places") or not words[0].isdecimal():
        raise _not_read(text, "'to' is followed by a count and the word 'places'")
    places = int(words[0][:4])
    if places > _MOST_PLACES:
        raise _not_read(text, f"{places} places are more than {_MOST_PLACES}")
    del words[:2]
    return places


def _not_read(text: str, why: str) -> OutlineError:
    shown = " ".join(text.split())[:80]
    return OutlineError(
        f"the reference {{{shown}}} cannot be read: {why}.",
        code="bad-reference",
        remedy="Write {ENTRY FIGURE}, perhaps with 'minus', 'over' or 'against' and a second pair, "
        "'in UNIT', 'to 1 places', 'about' or 'bare'; a brace itself is written \\{.",
    )
