"""Is the gap between two entries real? What the repeats can say, and no more."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from overlays.errors import FigureError
from overlays.model.result import Figure, Results
from overlays.numbers import fixed, rounded, typeset
from overlays.scoring.spread import Repeatability, coverage_factor, repeatability, spread_of
from overlays.units import symbol

__all__ = [
    "Gap",
    "Welch",
    "critical_difference",
    "gap_between",
    "permutation_p",
    "probability_ahead",
    "welch",
]

# Enumerating is exact and quick up to here: C(16, 8).
_MOST_SPLITS = 12_870


@dataclass(frozen=True, slots=True)
class Welch:
    """Welch's comparison of two means: difference, its 95 % interval, t and degrees of freedom."""

    difference: float
    low: float
    high: float
    t: float
    dof: float


def welch(a: Sequence[float], b: Sequence[float]) -> Welch | None:
    """Compare the means of two entries without assuming that they scatter alike.

    Returns None where either has a single repeat, or neither scatters at all. Source: Welch
    (1947), with Satterthwaite's degrees of freedom (NIST/SEMATECH e-Handbook, 1.3.5.3).
    """
    if min(len(a), len(b)) < 2:
        return None
    first, second = spread_of(a), spread_of(b)
    parts = [(one.s or 0.0) ** 2 / one.n for one in (first, second)]
    variance = sum(parts)
    if variance == 0:
        return None
    dof = variance**2 / sum(
        part**2 / (one.n - 1) for part, one in zip(parts, (first, second), strict=True)
    )
    difference = first.mean - second.mean
    half = coverage_factor(dof) * math.sqrt(variance)
    t = difference / math.sqrt(variance)
    return Welch(difference, difference - half, difference + half, t, dof)


def critical_difference(s_r: float, n_a: int, n_b: int, *, dof: float = math.inf) -> float:
    """Return the difference of two means that chance exceeds once in twenty times.

    ISO 5725-6, 4.2.1 (from memory): 2.8·s_r·√(1/2n_a + 1/2n_b), which is 1.96·s_r·√(1/n_a + 1/n_b);
    Student's t takes the place of 1.96 where s_r comes from few repeats.

    Parameters
    ----------
    s_r : float
        Repeatability standard deviation.
    n_a, n_b : int
        Repeats of either entry.
    dof : float
        Degrees of freedom behind `s_r`.
    """
    return coverage_factor(dof) * s_r * math.sqrt(1 / n_a + 1 / n_b)


def permutation_p(a: Sequence[float], b: Sequence[float]) -> float | None:
    """Return the exact two-sided p of the difference of means under exchange of runs.

    Three against three cannot give less than 2/20 = 0.1, however far apart they lie. None where
    there would be too many ways to try.
    """
    if math.comb(len(a) + len(b), len(a)) > _MOST_SPLITS:
        return None
    values = [*a, *b]
    observed = abs(math.fsum(a) / len(a) - math.fsum(b) / len(b))
    total = math.fsum(values)
    # Sums that differ by rounding only are the same sum.
    slack = 1e-12 * max(abs(value) for value in values)
    as_far = splits = 0
    for places in itertools.combinations(range(len(values)), len(a)):
        one = math.fsum(values[place] for place in places)
        splits += 1
        as_far += abs(one / len(a) - (total - one) / len(b)) >= observed - slack
    return as_far / splits


def probability_ahead(
    difference: float, s_r: float, n_a: int, n_b: int, *, dof: float = math.inf
) -> float:
    """Return the chance that the first mean is the higher one, given the difference found.

    Φ(difference/(s_r·√(1/n_a + 1/n_b))), with Student's distribution in place of Φ where s_r
    comes from few repeats.
    """
    from scipy.special import ndtr, stdtr

    scale = s_r * math.sqrt(1 / n_a + 1 / n_b)
    if scale == 0:
        return 0.5 if difference == 0 else float(difference > 0)
    z = difference / scale
    return float(ndtr(z) if math.isinf(dof) else stdtr(dof, z))


@dataclass(frozen=True, slots=True)
class Gap:
    """The gap between two entries in one figure.

    Parameters
    ----------
    figure, a, b : str
        Keys of the figure and of the entries.
    shown : str
        The difference of the values as shown, `a` minus `b`, without unit.
    unit : str
        Of the difference.
    ahead : str or None
        The entry whose shown value is the better one, None where they are equal.
    n_a, n_b : int
        Repeats behind either value.
    repeatability : Repeatability or None
        Pooled over the two entries.
    critical : float or None
        Critical difference for these repeats; None where no entry has two.
    welch : Welch or None
        Of the repeats' means.
    p : float or None
        Exact permutation p; None where there is none.
    real : bool or None
        True where the repeats support the gap: it exceeds the critical difference and Welch's
        interval leaves out zero. False where the repeats of the two overlap, or the values are
        equal as shown. None where the repeats cannot tell.
    reason : str
        Why `real` is None, in words; else empty.
    sentence : str
        What a host can say without overclaiming.
    """

    figure: str
    a: str
    b: str
    shown: str
    unit: str
    ahead: str | None
    n_a: int
    n_b: int
    repeatability: Repeatability | None
    critical: float | None
    welch: Welch | None
    p: float | None
    real: bool | None
    reason: str
    sentence: str


def gap_between(results: Results, figure: str, a: str, b: str) -> Gap:
    """Judge the gap between two entries in a figure.

    Raises
    ------
    FigureError
        If either entry lacks the figure.
    """
    first, second = (_known(results, figure, entry) for entry in (a, b))
    places = first.places
    difference = rounded(first.value or 0.0, places) - rounded(second.value or 0.0, places)
    better = results.session.spec.figures[figure].better
    leads = difference > 0 if better == "higher" else difference < 0
    runs_a, runs_b = first.known, second.known
    # Of these two alone: an odd run of a third entry says nothing about them.
    pooled = repeatability([runs_a, runs_b]) if runs_a and runs_b else None
    critical = None
    if pooled is not None:
        critical = critical_difference(pooled.s_r, len(runs_a), len(runs_b), dof=pooled.dof)
    comparison = welch(runs_a, runs_b)
    reason = _why_untold(results, figure, runs_a, runs_b)
    real = None if reason else _is_real(difference, critical, comparison, runs_a, runs_b)
    if real is None and not reason:
        reason = f"{_runs(len(runs_a), len(runs_b))} are too few to call it"
    gap = Gap(
        figure=figure,
        a=a,
        b=b,
        shown=fixed(difference, places),
        unit=first.unit,
        ahead=None if difference == 0 else (a if leads else b),
        n_a=len(runs_a),
        n_b=len(runs_b),
        repeatability=pooled,
        critical=critical,
        welch=comparison,
        p=permutation_p(runs_a, runs_b) if runs_a and runs_b else None,
        real=real,
        reason=reason,
        sentence="",
    )
    return replace(gap, sentence=_sentence(gap, results, places))


def _why_untold(results: Results, figure: str, a: Sequence[float], b: Sequence[float]) -> str:
    """Say why the repeats cannot tell anything of a gap; empty where they can."""
    tests = results.session.spec.tests_of(figure)
    if not tests:
        return "nothing was measured: it is as certain as what it is worked out of"
    if len(tests) > 1:
        return "runs of several tests do not pair: nobody can say if that would come again"
    if min(len(a), len(b)) < 2:
        why = "without repeats of both" if max(len(a), len(b)) > 1 else "on single runs"
        return f"{why}: nobody can say if that would come again"
    if min(a) == max(a) and min(b) == max(b):
        return "the repeats do not differ at all: it takes more digits to say how far chance goes"
    return ""


def _is_real(
    difference: Decimal,
    critical: float | None,
    comparison: Welch | None,
    a: Sequence[float],
    b: Sequence[float],
) -> bool | None:
    """Judge a gap by its repeats; None where they are apart, and too few to call it."""
    if difference == 0:
        return False
    if critical is not None and comparison is not None:
        beyond = abs(comparison.difference) > critical
        one_sided = comparison.low > 0 or comparison.high < 0
        # The value shown is the median run's; the means have to see the same one ahead.
        if beyond and one_sided and (comparison.difference > 0) == (difference > 0):
            return True
    overlap = max(min(a), min(b)) <= min(max(a), max(b))
    return False if overlap else None


def _known(results: Results, figure: str, entry: str) -> Figure:
    found = results.figures.get((figure, entry))
    if found is None or found.value is None:
        why = found.why_missing if found else "there is no such figure"
        raise FigureError(
            f"{figure} of {entry} is missing: {why}.",
            code="missing-figure",
            remedy="Compare entries that both have the figure.",
        )
    return found


def _sentence(gap: Gap, results: Results, places: int) -> str:
    spec = results.session.spec
    mark = spec.episode.decimal_mark
    # The difference of two percentages is not a percentage.
    unit = "percentage points" if symbol(gap.unit) == "%" else symbol(gap.unit)

    def amount(text: str) -> str:
        number = typeset(text.lstrip("-"), decimal_mark=mark)
        one = unit.removesuffix("s") if number == "1" and " " in unit else unit
        return f"{number} {one}".rstrip()

    what = f"in “{spec.figures[gap.figure].label}”"
    names = [spec.entries[entry].label for entry in (gap.a, gap.b)]
    if gap.ahead is None:
        return f"{names[0]} and {names[1]} are level {what}, as shown."
    first, second = names if gap.ahead == gap.a else reversed(names)
    lead = f"{first} is {amount(gap.shown)} ahead of {second} {what}"
    if gap.real is None:
        return f"{lead}, but {gap.reason}." if gap.critical else f"{lead}, {gap.reason}."
    if not gap.real:
        apart = f"{names[0]} and {names[1]} are {amount(gap.shown)} apart {what}"
        return f"{apart}, but their runs overlap, so call it a tie."
    if gap.critical is None:  # for the type checker: what is real exceeds it
        return f"{lead}."
    # Rounded up: what chance explains is never told as less than it is.
    step = 10.0**-places
    limit = fixed(math.ceil(gap.critical / step) * step, places)
    sentence = f"{lead}, more than the {amount(limit)} that chance explains"
    # Three against three cannot give less than one in ten, whatever the numbers.
    few = gap.p is not None and gap.p > 0.05
    return sentence + (
        f", though {_runs(gap.n_a, gap.n_b)} are too few to be certain." if few else "."
    )


def _runs(a: int, b: int) -> str:
    return f"{a} runs each" if a == b else f"{a} and {b} runs"
