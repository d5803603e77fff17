"""Whether a spoken number agrees with a measured one, and at what rounding.

Rounding is half away from zero on the written decimals, at the grain the number was said in. A
whole number that ends in zeros may have been rounded to tens or hundreds, if that moved it by at
most 2 %. Hedges bind: "just under" is wrong where the truth lies above. How far a hedge reaches
(about: 5 %; just under and just over: 10 %; shares such as "a third": 5 %, or 10 % of what is
more or less) is common practice, no source.
"""

from __future__ import annotations

import math
from decimal import ROUND_HALF_UP, Decimal

from overlays.outline.speech.claims import Claim
from overlays.outline.speech.number_words import Reading

__all__ = ["agrees", "distance"]

_TRAILING = 0.02
_ABOUT, _SIDE = 0.05, 0.10
_SHARE, _EXCESS = 0.05, 0.10
_COARSE, _PERCENT = Decimal("0.1"), Decimal("0.01")


def agrees(claim: Claim, reading: Reading, data: float) -> str | None:
    """Say at what rounding a reading of a claim agrees with a value, or None.

    Parameters
    ----------
    claim : Claim
        What was said.
    reading : Reading
        One way to understand it.
    data : float
        The measured value, in the same terms.

    Returns
    -------
    str or None
        Such as ``"to the nearest 0.1"``, ``"to the nearest 10"``, ``"about"``.
    """
    if not math.isfinite(data):
        return None
    exact, said = Decimal(repr(data)), reading.value
    if (claim.hedge == "under" and exact > said) or (claim.hedge == "over" and exact < said):
        return None
    off = abs(float(exact - said)) / max(abs(data), 1e-12)
    if _is_share(claim, reading):
        return "as a share" if off <= _share_reach(claim) else None
    return _grain(exact, claim, reading, off) or _hedged(claim, off)


def _grain(exact: Decimal, claim: Claim, reading: Reading, off: float) -> str | None:
    """Say at which grain a value rounds to what was said."""
    if _rounded(exact, reading.step) == reading.value:
        percent = claim.form in ("ratio", "excess") and reading.step <= _PERCENT
        grain = f"{_plain(reading.step * 100)} %" if percent else _plain(reading.step)
        return f"to the nearest {grain}"
    size = _trailing(reading)
    while size > reading.step and off <= _TRAILING:
        if _rounded(exact, size) == reading.value:
            return f"to the nearest {_plain(size)}"
        size /= 10
    return None


def _hedged(claim: Claim, off: float) -> str | None:
    if claim.hedge == "about" and off <= _ABOUT:
        return "about"
    if claim.hedge in ("under", "over") and off <= _SIDE:
        return "a little less" if claim.hedge == "under" else "a little more"
    return None


def _share_reach(claim: Claim) -> float:
    if claim.hedge in ("under", "over"):
        return _SIDE
    reach = _EXCESS if claim.form == "excess" else _SHARE
    return reach * 2 if claim.hedge == "about" else reach


def _is_share(claim: Claim, reading: Reading) -> bool:
    # "a third" and "twice" are shares; "87 percent" and "3.2 times" have digits to hold them to.
    return claim.form in ("ratio", "excess") and reading.step > _COARSE


def _rounded(exact: Decimal, step: Decimal) -> Decimal:
    return (exact / step).to_integral_value(rounding=ROUND_HALF_UP) * step


def _trailing(reading: Reading) -> Decimal:
    """Return the largest power of ten that a whole number said is a multiple of, else its step."""
    grain = reading.step
    while reading.step == 1 and reading.value and not reading.value % (grain * 10):
        grain *= 10
    return grain


def _plain(step: Decimal) -> str:
    return f"{round(step, 6).normalize():f}"


def distance(reading: Reading, data: float) -> float:
    """Return how far apart two numbers are, as the logarithm of their ratio; 0 is the same."""
    said = float(reading.value)
    if said == data:
        return 0.0
    if not said or not data or (said > 0) != (data > 0):
        return math.inf
    return abs(math.log(said / data))
