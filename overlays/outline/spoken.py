"""A value of a reference as it is written in the script, and as it is read aloud.

Rounding as people round: to the roundest number within 2.5 %, and the words say on which side the
truth lies. Within a quarter of a percent no word is needed; past one and a half it is "about"
(common practice, no source; what counts is that the words are never wrong).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal

from overlays.numbers import fixed, typeset
from overlays.outline.reference import Reference
from overlays.outline.speech.number_words import say_number
from overlays.outline.speech.unit_words import spoken_unit
from overlays.outline.value import Value
from overlays.units import POINT, symbol

__all__ = ["Wording", "round_for_speech", "word"]

_NEAR = 0.025
_EXACT, _ABOUT = 0.0025, 0.015
_SHARES = {
    1 / 10: "a tenth", 1 / 5: "a fifth", 1 / 4: "a quarter", 1 / 3: "a third", 1 / 2: "half",
    2 / 3: "two thirds", 3 / 4: "three quarters",
}  # fmt: skip
_TIMES = {2.0: "twice", 3.0: "three times", 4.0: "four times", 5.0: "five times"}
_SHARE_NEAR = 0.08


@dataclass(frozen=True, slots=True)
class Wording:
    """A value in words: as it stands in the script, and as it is read aloud."""

    written: str
    aloud: str


def word(value: Value, reference: Reference, *, decimal_mark: str) -> Wording:
    """Write a value as its reference asks.

    Parameters
    ----------
    value : Value
        What the reference stands for; for ``against`` in percent of difference.
    reference : Reference
        How to write it.
    decimal_mark : str
        As the session says.
    """
    number = abs(value.value) if reference.unsigned else value.value
    if reference.operation == "against":
        return _compared(number, reference, decimal_mark)
    if reference.about and reference.operation == "over" and value.unit in ("", "%"):
        ratio = number / 100 if value.unit == "%" else number
        if share := _share(ratio):
            return Wording(share, share)
    hedge, text = "", fixed(number, value.places)
    if reference.about:
        hedge, text = round_for_speech(number)
    return _worded(hedge, text, "" if reference.bare else value.unit, reference, decimal_mark)


def _worded(hedge: str, text: str, unit: str, reference: Reference, decimal_mark: str) -> Wording:
    one = Decimal(text) == 1
    spoken, sign = spoken_unit(unit, one=one), symbol(unit)
    if sign == POINT or (sign == "%" and reference.operation == "minus"):
        # 62 % and 55 % are 7 percentage points apart; "7 %" would say something else.
        spoken = sign = "percentage point" if one else "percentage points"
    figures = text.replace("-", "minus ").replace(".", decimal_mark)
    aloud = _joined(hedge, say_number(text) if reference.in_words else figures, spoken)
    if reference.in_words:
        return Wording(aloud, aloud)
    return Wording(_joined(hedge, typeset(text, decimal_mark=decimal_mark), sign), aloud)


def _joined(*parts: str) -> str:
    return " ".join(part for part in parts if part)


def round_for_speech(value: float) -> tuple[str, str]:
    """Round to the roundest number within 2.5 %, and say on which side the value lies.

    Returns
    -------
    (str, str)
        The word for it (``""``, ``"just over"``, ``"just under"`` or ``"about"``), and the
        rounded number as written decimally.

    Examples
    --------
    >>> round_for_speech(86.44), round_for_speech(0.318), round_for_speech(231.4)
    (('about', '85'), ('just under', '0.32'), ('just over', '230'))
    """
    if value == 0:
        return "", "0"
    exact = Decimal(repr(abs(value)))
    top = math.floor(math.log10(abs(value))) + 1
    for exponent in range(top, top - 5, -1):
        for lead in (Decimal(1), Decimal("0.5")):
            step = lead.scaleb(exponent)
            near = (exact / step).to_integral_value(rounding="ROUND_HALF_UP") * step
            if abs(near - exact) <= exact * Decimal(str(_NEAR)):
                written = f"{near.normalize():f}"
                off = float((exact - near) / exact) * (1 if value > 0 else -1)
                return _hedge(off), written if value > 0 else f"-{written}"
    raise ValueError(f"cannot round {value!r}")  # a hundredth of the first digit is always near


def _hedge(off: float) -> str:
    """Return the words for a value that is greater than what is said by the share `off`."""
    if abs(off) <= _EXACT:
        return ""
    if abs(off) > _ABOUT:
        return "about"
    return "just over" if off > 0 else "just under"


def _share(ratio: float) -> str:
    """Say a ratio as a share or a multiple: "just under half", "about three times"; else nothing.

    Examples
    --------
    >>> _share(0.49), _share(2.01), _share(0.87)
    ('about half', 'just over twice', '')
    """
    for near, words in (_SHARES | _TIMES).items():
        off = (ratio - near) / near
        if abs(off) <= _NEAR:
            return _joined(_hedge(off), words)
    return ""


def _compared(percent: float, reference: Reference, decimal_mark: str) -> Wording:
    """Say how much more or less: "8 % more", "a third more", "half as much"."""
    side = "more" if percent >= 0 else "less"
    if not reference.about:
        text = fixed(abs(percent), reference.places or 0)
        if Decimal(text) == 0:
            return Wording("just as much", "just as much")
        worded = _worded("", text, "%", reference, decimal_mark)
        return Wording(f"{worded.written} {side}", f"{worded.aloud} {side}")
    phrase = _about_compared(percent / 100)
    if phrase is None:
        hedge, text = round_for_speech(abs(percent))
        worded = _worded(hedge, text, "%", reference, decimal_mark)
        return Wording(f"{worded.written} {side}", f"{worded.aloud} {side}")
    return Wording(phrase, phrase)


def _about_compared(excess: float) -> str | None:
    if abs(excess) < 0.01:
        return "about as much"
    ratio = 1 + excess
    for near, words in (_SHARES | _TIMES).items():
        if (near >= 2 or near <= 0.5) and abs(ratio - near) <= near * _NEAR:
            return _joined(_hedge((ratio - near) / near), words, "as much")
    for near, words in _SHARES.items():
        off = (abs(excess) - near) / near
        if abs(off) <= _SHARE_NEAR:
            hedge = "" if abs(off) <= _NEAR else "just over" if off > 0 else "just under"
            return _joined(hedge, words, "more" if excess > 0 else "less")
    return None
