"""Repeats that look off: Grubbs', Dixon's and Cochran's tests. They flag, and never drop a run.

Grubbs and Dixon look for one run away from its fellows, Cochran for one entry that scatters more
than the others, which with three repeats finds more. The first two are two-sided, for nobody knows
beforehand whether a run will come out high or low. As in ISO 5725-2, 7.3, what passes the 5 % level
only is a straggler, and what passes 1 % an outlier.
"""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from overlays.scoring.spread import spread_of

__all__ = [
    "Flag",
    "dixon_critical",
    "dixon_ratio",
    "flags_of",
    "grubbs_critical",
    "grubbs_statistic",
]

# Two-sided critical values of Dixon's ratios at 5 % and 1 %: r10 for 3 to 7 values, r11 for 8 to
# 10. From the exact density (Dixon 1951) integrated numerically; Rorabacher (1991), table 2,
# prints the same within 0.005. Tables in circulation are often one-sided: 0.941 for 3 values.
_DIXON = {
    3: (0.9702, 0.9940),
    4: (0.8298, 0.9207),
    5: (0.7102, 0.8232),
    6: (0.6275, 0.7427),
    7: (0.5690, 0.6811),
    8: (0.6150, 0.7223),
    9: (0.5700, 0.6752),
    10: (0.5346, 0.6372),
}
_FEWEST = 3
_MOST_PLACES = 6


@dataclass(frozen=True, slots=True)
class Flag:
    """One repeat, or one entry, that lies further off than chance explains well.

    Parameters
    ----------
    place : int
        Index into the values judged; for Cochran, into the entries.
    test : {"Grubbs", "Dixon", "Cochran"}
        What flagged it.
    statistic, critical : float
        What was found, and the value it exceeds.
    kind : {"straggler", "outlier"}
        Beyond the 5 % level, or beyond 1 %.
    """

    place: int
    test: Literal["Grubbs", "Dixon", "Cochran"]
    statistic: float
    critical: float
    kind: Literal["straggler", "outlier"]

    def words(self) -> str:
        """Say it in a few words, the numbers with as many digits as tell them apart."""
        level = "1 %" if self.kind == "outlier" else "5 %"
        places = 3
        while places < _MOST_PLACES and f"{self.statistic:.{places}f}" == (
            f"{self.critical:.{places}f}"
        ):
            places += 1
        return (
            f"{self.kind} by {self.test}'s test at {level} "
            f"({self.statistic:.{places}f} > {self.critical:.{places}f})"
        )


def grubbs_statistic(values: Sequence[float]) -> tuple[float, int]:
    """Return Grubbs' G = max|x - mean|/s and the place of that value.

    Source: NIST/SEMATECH e-Handbook, 1.3.5.17.1.
    """
    spread = spread_of(values)
    away = [abs(value - spread.mean) for value in values]
    place = away.index(max(away))
    return (away[place] / spread.s if spread.s else 0.0), place


def grubbs_critical(n: int, *, level: float) -> float:
    """Return the two-sided critical value of G for `n` values.

    (n-1)/√n · √(t²/(n-2+t²)) with t at level/(2n) and n-2 degrees of freedom; same source.
    """
    from scipy.special import stdtrit

    t = float(stdtrit(n - 2, 1 - level / (2 * n)))
    return (n - 1) / math.sqrt(n) * math.sqrt(t * t / (n - 2 + t * t))


def dixon_ratio(values: Sequence[float]) -> tuple[float, int]:
    """Return Dixon's ratio at the end where it is larger, and the place of that value.

    The gap to the nearest value over the range (r10), from 8 values on over the range without
    the opposite end (r11).
    """
    order = sorted(range(len(values)), key=lambda place: values[place])
    ranked = [values[place] for place in order]
    inner = 1 if len(values) >= 8 else 0
    low_range, high_range = ranked[-1 - inner] - ranked[0], ranked[-1] - ranked[inner]
    low = (ranked[1] - ranked[0]) / low_range if low_range else 0.0
    high = (ranked[-1] - ranked[-2]) / high_range if high_range else 0.0
    return (low, order[0]) if low > high else (high, order[-1])


def dixon_critical(n: int, *, level: float) -> float:
    """Return the two-sided critical value of Dixon's ratio for 3 to 10 values at 5 % or 1 %."""
    return _DIXON[n][0 if level == 0.05 else 1]


def flags_of(values: Sequence[float]) -> tuple[Flag, ...]:
    """Flag the repeats that look off.

    Parameters
    ----------
    values : sequence of float
        One figure of every repeat; fewer than three say nothing.

    Returns
    -------
    tuple of Flag
        At most one a test. Of three values only Dixon's test is asked: there both tests look at
        the same one ratio. A flag is a question to the bench, not a reason to leave a run out.
    """
    n = len(values)
    if n < _FEWEST or max(values) == min(values):
        return ()
    found: list[Flag] = []
    if n > _FEWEST:
        g, place = grubbs_statistic(values)
        criticals = [grubbs_critical(n, level=level) for level in (0.05, 0.01)]
        found += _flag("Grubbs", g, place, criticals)
    if n in _DIXON:
        ratio, place = dixon_ratio(values)
        found += _flag("Dixon", ratio, place, [dixon_critical(n, level=0.05), _DIXON[n][1]])
    return tuple(found)


def cochran_critical(entries: int, n: int, *, level: float) -> float:
    """Return the critical value of Cochran's C for entries of `n` repeats each.

    1/(1 + (p-1)/F) with F at level/p, and n-1 and (p-1)(n-1) degrees of freedom
    (ISO 5725-2, 7.3.3, whose table these values reproduce).
    """
    from scipy.special import fdtri

    f = float(fdtri(n - 1, (entries - 1) * (n - 1), 1 - level / entries))
    return 1 / (1 + (entries - 1) / f)


def cochran_flag(groups: Sequence[Sequence[float]]) -> Flag | None:
    """Flag the entry that scatters more than the others.

    C is the largest variance over the sum of all. Where the counts of repeats differ, the
    commonest one stands for all, as ISO 5725-2, 7.3.3.2 allows while few differ.

    Parameters
    ----------
    groups : sequence of sequence of float
        The repeats of each entry; entries with a single one are passed over.
    """
    places = [place for place, group in enumerate(groups) if len(group) > 1]
    if len(places) < 2:
        return None
    variances = [(spread_of(groups[place]).s or 0.0) ** 2 for place in places]
    total = math.fsum(variances)
    if total == 0:
        return None
    n = statistics.mode(len(groups[place]) for place in places)
    c = max(variances) / total
    criticals = [cochran_critical(len(places), n, level=level) for level in (0.05, 0.01)]
    found = _flag("Cochran", c, places[variances.index(max(variances))], criticals)
    return found[0] if found else None


def _flag(
    test: Literal["Grubbs", "Dixon", "Cochran"],
    statistic: float,
    place: int,
    criticals: Sequence[float],
) -> list[Flag]:
    straggler, outlier = criticals
    if statistic > outlier:
        return [Flag(place, test, statistic, outlier, "outlier")]
    return [Flag(place, test, statistic, straggler, "straggler")] if statistic > straggler else []
