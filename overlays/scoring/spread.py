"""How far repeats lie apart: standard deviation, repeatability and its limit."""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass

__all__ = ["Repeatability", "Spread", "coverage_factor", "repeatability", "spread_of"]


@dataclass(frozen=True, slots=True)
class Spread:
    """What repeats of one entry say.

    Parameters
    ----------
    n : int
        How many.
    mean : float
        Arithmetic mean.
    s : float or None
        Experimental standard deviation (n - 1); None with a single value.
    """

    n: int
    mean: float
    s: float | None

    @property
    def variation(self) -> float | None:
        """The coefficient of variation s/|mean|, None where it does not exist."""
        return None if self.s is None or self.mean == 0 else self.s / abs(self.mean)

    @property
    def type_a(self) -> float | None:
        """The Type A standard uncertainty of the mean, s/√n (GUM 4.2.3)."""
        return None if self.s is None else self.s / math.sqrt(self.n)


def spread_of(values: Sequence[float]) -> Spread:
    """Return the spread of values.

    Sums are exact (the `statistics` module works in fractions), so that a large mean does not eat
    the deviation.

    Parameters
    ----------
    values : sequence of float
        At least one, all finite.

    Examples
    --------
    >>> spread_of([9.0, 10.0, 11.0])
    Spread(n=3, mean=10.0, s=1.0)
    """
    s = statistics.stdev(values) if len(values) > 1 else None
    return Spread(len(values), statistics.mean(values), s)


@dataclass(frozen=True, slots=True)
class Repeatability:
    """How far repeats of any one entry lie apart.

    Parameters
    ----------
    s_r : float
        Repeatability standard deviation, pooled over the entries (ISO 5725-2, 7.4.5.2).
    dof : int
        Degrees of freedom behind it.
    """

    s_r: float
    dof: int

    @property
    def limit(self) -> float:
        """The difference that two runs of one entry exceed once in twenty times.

        t(0.975, dof)·√2·s_r, which for a well-known s_r is the 2.8·s_r of ISO 5725-6, 4.1.4, and
        with few repeats is wider, as it has to be.
        """
        return coverage_factor(self.dof) * math.sqrt(2) * self.s_r


def repeatability(groups: Sequence[Sequence[float]]) -> Repeatability | None:
    """Pool the scatter of repeats over entries.

    Parameters
    ----------
    groups : sequence of sequence of float
        The repeats of each entry.

    Returns
    -------
    Repeatability or None
        None where no entry has two repeats.
    """
    spreads = [spread_of(group) for group in groups if len(group) > 1]
    dof = sum(spread.n - 1 for spread in spreads)
    if dof == 0:
        return None
    squares = math.fsum((spread.n - 1) * (spread.s or 0.0) ** 2 for spread in spreads)
    return Repeatability(math.sqrt(squares / dof), dof)


def coverage_factor(dof: float) -> float:
    """Return Student's two-sided factor for 95 % (GUM, table G.2).

    Parameters
    ----------
    dof : float
        Degrees of freedom; infinite for a well-known spread.
    """
    # A tenth of a second to import, and only judging needs it.
    from scipy.special import ndtri, stdtrit

    probability = 0.975  # with 2.5 % beyond either end
    return float(ndtri(probability) if math.isinf(dof) else stdtrit(dof, probability))
