"""Figures → points, by the rule a column declares.

Points are worked out from figures *as shown*, in exact fractions, and rounded half away from zero:
whoever has the score table and a pocket calculator gets the same points, and an episode's points
stay what they were once its figures are read back from the ledger.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any

from overlays.errors import SessionError
from overlays.model.pointspec import (
    ClaimPoints,
    LinePoints,
    PenaltyPoints,
    PointsSpec,
    SharePoints,
    StepsPoints,
)
from overlays.model.spec import Better
from overlays.numbers import rounded
from overlays.units import Quantity, is_offset

__all__ = ["RULES", "Judged", "points_of"]


@dataclass(frozen=True, slots=True)
class Judged:
    """A figure about to be scored.

    Parameters
    ----------
    value : Decimal
        As shown.
    unit : str
        Of the value.
    better : {"higher", "lower"}
        Which end of the scale is the good one.
    best : Decimal or None
        The best of the season in the same unit; None where the rule needs none.
    claim : Quantity or None
        What is claimed for the entry; None where nothing is.
    """

    value: Decimal
    unit: str
    better: Better
    best: Decimal | None = None
    claim: Quantity | None = None


def points_of(spec: PointsSpec, judged: Judged) -> Decimal | None:
    """Return the points a figure earns.

    Returns
    -------
    Decimal or None
        Rounded to the column's places; None where the rule does not apply, as with a claim that
        is not made.

    Raises
    ------
    SessionError
        If the rule cannot be used with this figure at all.
    UnitError
        If a value the rule names does not fit the figure's unit.
    """
    share = RULES[spec.rule](spec, judged)
    if share is None:
        return None
    return rounded(share * _exact(spec.most) * _exact(spec.weight), spec.places)


def _exact(number: float | Decimal) -> Fraction:
    """Take a float by its shortest decimal text, so that 0.1 means one tenth."""
    return Fraction(number) if isinstance(number, Decimal) else Fraction(str(number))


def _in_unit(quantity: Quantity, unit: str) -> Fraction:
    return _exact(quantity.to(unit))


def _ratio(value: Fraction, reference: Fraction, better: Better) -> Fraction | None:
    """Return the share of a reference that a value reaches, 1 at the reference."""
    if value == reference:
        return Fraction(1)
    top, bottom = (value, reference) if better == "higher" else (reference, value)
    if bottom <= 0:
        return None if better == "higher" else Fraction(0)
    return max(top / bottom, Fraction(0))


def _share(spec: SharePoints, judged: Judged) -> Fraction | None:
    """Return value/best, or best/value where lower is better."""
    if is_offset(judged.unit):
        raise SessionError(
            f"a share of {judged.unit} means nothing: that scale has no true zero.",
            code="offset-ratio",
            field="rule",
            remedy='Use the rule "line" with none_at and most_at.',
        )
    best = judged.best if spec.best is None else Decimal(str(spec.best.to(judged.unit)))
    if best is None:
        return None
    share = _ratio(_exact(judged.value), _exact(best), judged.better)
    return None if share is None else min(share, _exact(spec.at_most))


def _claim(spec: ClaimPoints, judged: Judged) -> Fraction | None:
    """Return value/claim, at most the ceiling."""
    if judged.claim is None:
        return None
    claim = _in_unit(judged.claim, judged.unit)
    share = _ratio(_exact(judged.value), claim, judged.better)
    return None if share is None else min(share, _exact(spec.ceiling))


def _line(spec: LinePoints | PenaltyPoints, judged: Judged) -> Fraction:
    """Return (value - none_at)/(most_at - none_at), held between 0 and 1."""
    none_at, most_at = (_in_unit(end, judged.unit) for end in (spec.none_at, spec.most_at))
    if none_at == most_at:
        raise SessionError(
            "none_at and most_at are the same value.",
            code="flat-line",
            field="most_at",
            remedy="Give the line two different values.",
        )
    share = (_exact(judged.value) - none_at) / (most_at - none_at)
    return min(max(share, Fraction(0)), Fraction(1))


def _penalty(spec: PenaltyPoints, judged: Judged) -> Fraction:
    """Return the line's share, taken away."""
    return -_line(spec, judged)


def _steps(spec: StepsPoints, judged: Judged) -> Fraction:
    """Return the points of the first step reached, as a share of `most`."""
    value = _exact(judged.value)
    for step, points in spec.steps:
        edge = _in_unit(step, judged.unit)
        if value >= edge if judged.better == "higher" else value <= edge:
            return _exact(points) / _exact(spec.most)
    return Fraction(0)


# Each function has the table of its own rule as its first argument.
RULES: Mapping[str, Callable[[Any, Judged], Fraction | None]] = {
    "line": _line,
    "penalty": _penalty,
    "share_of_best": _share,
    "share_of_claim": _claim,
    "steps": _steps,
}
