"""References to figures in narration: ``{alder cold_mean minus dune cold_mean in lbf*ft}``.

A reference is an entry and one of its figures or attributes, alone or set against a second pair,
and then how to write it::

    {ENTRY NAME}                          the figure as measured
    {ENTRY NAME minus ENTRY NAME}         their difference
    {ENTRY NAME over ENTRY NAME}          their ratio
    … in UNIT   … to N places   … bare    converted, rounded otherwise, without its unit

Differences and ratios are taken of the unrounded values and rounded once (common practice in
measurement; rounding twice can be off by a whole last digit).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from overlays.errors import OutlineError

__all__ = ["Operand", "Reference", "parse_reference"]

Operation = Literal["minus", "over"]
_WORD = re.compile(r"[a-z][a-z0-9_]*")
_OPERATIONS: dict[str, Operation] = {"minus": "minus", "over": "over"}
_HOW = ("in", "to", "bare")
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
    operation : {"minus", "over"} or None
        How it is set against `second`.
    second : Operand or None
        The other one.
    unit : str or None
        Unit asked for.
    places : int or None
        Decimals asked for.
    bare : bool
        Without its unit.
    """

    first: Operand
    operation: Operation | None = None
    second: Operand | None = None
    unit: str | None = None
    places: int | None = None
    bare: bool = False

    @property
    def operands(self) -> tuple[Operand, ...]:
        """The one or two figures it draws on."""
        return (self.first,) if self.second is None else (self.first, self.second)


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
    bare = False
    while words:
        word = words.pop(0)
        if word == "in" and unit is None:
            unit = _unit(words, text)
        elif word == "to" and places is None:
            places = _places(words, text)
        elif word == "bare" and not bare:
            bare = True
        else:
            raise _not_read(text, f"{word!r} is not understood there")
    return Reference(first, operation, second, unit, places, bare)


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
        remedy="Write {ENTRY FIGURE}, perhaps with 'minus' or 'over' and a second pair, "
        "'in UNIT', 'to 1 places' or 'bare'; a brace that is meant as such is written \\{.",
    )
