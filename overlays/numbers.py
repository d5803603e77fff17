"""Numbers as shown: rounding on the written decimals, and typesetting.

Rounding is half away from zero on the shortest decimal text of the number (ISO 80000-1:2009,
annex B, rule B for the absolute value), not on its binary expansion, so that a viewer with a
pocket calculator gets the same digits.
"""

from __future__ import annotations

import math
from decimal import ROUND_HALF_UP, Context, Decimal
from fractions import Fraction
from functools import lru_cache

__all__ = ["MINUS", "counted", "fixed", "is_shown", "rounded", "typeset"]

MINUS = "\N{MINUS SIGN}"


def counted(count: int, what: str) -> str:
    """Count things in words: the plural but for one.

    Examples
    --------
    >>> counted(1, "run"), counted(2, "planned run")
    ('1 run', '2 planned runs')
    """
    return f"{count} {what}{'' if count == 1 else 's'}"


def rounded(value: float | Decimal | Fraction, places: int) -> Decimal:
    """Round half away from zero on the written decimals.

    Parameters
    ----------
    value : float, Decimal or Fraction
        A finite number; a Fraction is rounded exactly.
    places : int
        Decimal places to keep; negative rounds left of the decimal mark.

    Returns
    -------
    Decimal
        Never a negative zero.

    Raises
    ------
    ValueError
        If `value` is not finite: a missing value has no digits.

    Examples
    --------
    >>> rounded(0.625, 2), rounded(-0.045, 2), rounded(-0.004, 2)
    (Decimal('0.63'), Decimal('-0.05'), Decimal('0.00'))
    """
    if isinstance(value, Fraction):
        whole = math.floor(abs(value) * Fraction(10) ** places + Fraction(1, 2))
        result = Decimal(-whole if value < 0 else whole).scaleb(-places)
        return abs(result) if result.is_zero() else result
    if not math.isfinite(value):
        raise ValueError(f"cannot round {value!r}")
    written = value if isinstance(value, Decimal) else Decimal(repr(float(value)))
    # As many digits as there are before the mark, however large the number.
    digits = Context(prec=max(28, written.adjusted() + places + 2))
    result = written.quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP, digits)
    return abs(result) if result.is_zero() else result


@lru_cache(maxsize=16_384)
def fixed(value: float | Decimal | Fraction, places: int) -> str:
    """Write a number with a fixed count of decimals, an ASCII hyphen as the minus.

    Examples
    --------
    >>> fixed(4.345, 2), fixed(1234.5, 0), fixed(-0.004, 2)
    ('4.35', '1235', '0.00')
    """
    return f"{rounded(value, places):f}"


def is_shown(value: float | None) -> bool:
    """Say whether there is a number to show: neither missing nor NaN nor infinite."""
    return value is not None and math.isfinite(value)


def typeset(text: str, *, decimal_mark: str = ".") -> str:
    """Set a number written by `fixed` for the screen: true minus, the session's decimal mark.

    Examples
    --------
    >>> typeset("-12.5", decimal_mark=",")
    '−12,5'
    """
    return text.replace("-", MINUS).replace(".", decimal_mark)
