"""Whole percentages that add up to 100."""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction

__all__ = ["whole_percentages"]


def whole_percentages(parts: Sequence[float | Fraction]) -> list[int]:
    """Return the parts of a whole in whole percent that add up to exactly 100.

    By largest remainder (Hamilton's method): each is rounded down, and what is then missing goes
    to the largest remainders, the first ones where they are equal.

    Parameters
    ----------
    parts : sequence of (float or Fraction)
        None negative, and not all zero.

    Raises
    ------
    ValueError
        If a part is negative, or there is nothing to share.

    Examples
    --------
    >>> whole_percentages([1, 1, 1])
    [34, 33, 33]
    """
    exact = [Fraction(part) for part in parts]
    total = sum(exact, Fraction(0))
    if total <= 0 or min(exact) < 0:
        raise ValueError("parts of a whole are not negative, and not all zero")
    shares = [part / total * 100 for part in exact]
    whole = [math.floor(share) for share in shares]
    by_remainder = sorted(range(len(shares)), key=lambda place: whole[place] - shares[place])
    for place in by_remainder[: 100 - sum(whole)]:
        whole[place] += 1
    return whole
