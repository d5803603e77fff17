"""Repeats → the run that is shown."""

from __future__ import annotations

import math
from collections.abc import Sequence

__all__ = ["median_index"]


def median_index(values: Sequence[float | None]) -> tuple[int, str]:
    """Find the median run by the main figure of each run.

    A real run is shown, never an average of two, so an even count takes the lower middle one.

    Parameters
    ----------
    values : sequence of float or None
        The main figure of each run; None or NaN where a run has none.

    Returns
    -------
    index : int
        Into `values`. Equal values keep their order.
    remark : str
        What has to be said beside it, such as ``"lower middle of 2"``; else empty.

    Raises
    ------
    ValueError
        If there are no runs at all.

    Examples
    --------
    >>> median_index([12.0, 10.0, 11.0])
    (2, '')
    >>> median_index([12.0, 10.0])
    (1, 'lower middle of 2')
    """
    if not values:
        raise ValueError("no runs to choose from")
    known = [(v, i) for i, v in enumerate(values) if v is not None and math.isfinite(v)]
    if not known:
        return 0, "first run, for none has the main figure"
    known.sort()
    place = (len(known) - 1) // 2
    remarks = []
    if len(known) % 2 == 0:
        remarks.append(f"lower middle of {len(known)}")
    if (missing := len(values) - len(known)) > 0:
        remarks.append(f"{missing} of {len(values)} without the main figure")
    return known[place][1], ", ".join(remarks)
