"""Axes: round numbers to rule them by, and the way from values to pixels and back."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from overlays.draw.patch import Rect
from overlays.numbers import fixed

__all__ = [
    "SLACK",
    "Axes",
    "Scale",
    "Ticks",
    "log_range",
    "log_ticks",
    "nice_range",
    "nice_ticks",
]

# How far data may pass zero, as a share of the range.
SLACK = 0.015
_STEPS = (Decimal(1), Decimal(2), Decimal(5), Decimal(10))


@dataclass(frozen=True, slots=True)
class Ticks:
    """Where an axis is ruled.

    Parameters
    ----------
    step : Decimal
        Distance of the numbered ticks; zero where they are spaced by their logarithms.
    numbered : tuple of Decimal
        Their values, multiples of `step`.
    places : int
        Decimals the numbers need.
    """

    step: Decimal
    numbered: tuple[Decimal, ...]

    @property
    def places(self) -> int:
        """Decimals the numbers need."""
        return max(0, -int(self.step.as_tuple().exponent))

    def text(self, value: Decimal) -> str:
        """Write a numbered tick; of powers of ten each with the decimals it needs itself."""
        if self.step:
            return fixed(value, self.places)
        return fixed(value, max(0, -int(value.normalize().as_tuple().exponent)))


def _nice_step(span: float, most: int) -> Decimal:
    """Return the smallest of 1, 2, 5 times a power of ten that cuts `span` into at most `most`."""
    wanted = Decimal(repr(span / max(most, 1)))
    power = Decimal(1).scaleb(wanted.adjusted())
    for step in _STEPS:
        if step * power >= wanted:
            return (step * power).normalize()
    return (_STEPS[-1] * power).normalize()


def nice_ticks(low: float, high: float, most: int) -> Ticks:
    """Return round values from `low` to `high`, at most `most` + 1 of them.

    Raises
    ------
    ValueError
        If the range is empty or not finite.
    """
    if not (math.isfinite(low) and math.isfinite(high) and high > low):
        raise ValueError(f"no ticks from {low!r} to {high!r}")
    step = _nice_step(high - low, most)
    # A bound that is a tick but for the last bit of a float is still a tick.
    slack = step * Decimal("1e-9")
    first = ((Decimal(repr(low)) - slack) / step).to_integral_value("ROUND_CEILING")
    last = ((Decimal(repr(high)) + slack) / step).to_integral_value("ROUND_FLOOR")
    return Ticks(step, tuple(step * n for n in range(int(first), int(last) + 1)))


def nice_range(low: float, high: float, most: int) -> tuple[float, float]:
    """Return a range of whole steps around data, from zero where that costs under half of it.

    Data may pass zero by `SLACK` of the range, as a sensor's noise does, without another step for
    it; whoever draws leaves room for that.

    Parameters
    ----------
    low, high : float
        Smallest and largest value; equal ones are given room.
    most : int
        Steps wanted at most.
    """
    if -SLACK * high <= low <= high / 2:
        low = 0.0
    elif low / 2 <= high <= -SLACK * low:
        high = 0.0
    if high <= low:
        room = abs(high) / 2 or 1.0
        low, high = low - room, high + room
    step = _nice_step(high - low, most)
    first = (Decimal(repr(low)) / step).to_integral_value("ROUND_FLOOR")
    last = (Decimal(repr(high)) / step).to_integral_value("ROUND_CEILING")
    return float(first * step), float(last * step)


# More powers of ten than this below the highest value are a sensor's noise about zero.
_MOST_DECADES = 4


def log_range(low: float, high: float) -> tuple[float, float]:
    """Return a range from a power of ten to 1, 2 or 5 times one, around data above zero.

    Parameters
    ----------
    low, high : float
        Smallest and largest value above zero. What lies more than four powers of ten below the
        largest is left out.
    """
    bottom = math.floor(math.log10(low) + 1e-9)
    top = math.floor(math.log10(high) + 1e-9)
    bottom = max(bottom, top - _MOST_DECADES + 1)
    ends = (Decimal(n).scaleb(top) for n in (1, 2, 5, 10))
    end = next(float(value) for value in ends if float(value) >= high * (1 - 1e-9))
    start = float(Decimal(1).scaleb(bottom))
    return start, end if end > start else 10 * start


def log_ticks(low: float, high: float) -> Ticks:
    """Return the powers of ten from `low` to `high`; 2 and 5 times them where those are few."""
    first, last = math.floor(math.log10(low) + 1e-9), math.ceil(math.log10(high) - 1e-9)
    several = (1, 2, 5) if last - first <= 2 else (1,)
    values = (Decimal(n).scaleb(power) for power in range(first, last + 1) for n in several)
    inside = (value for value in values if low * (1 - 1e-9) <= float(value) <= high * (1 + 1e-9))
    return Ticks(Decimal(0), tuple(inside))


@dataclass(frozen=True, slots=True)
class Scale:
    """A straight line from values, or their logarithms, to pixels.

    Parameters
    ----------
    low, high : float
        Values at the two ends.
    start, end : float
        Their pixels, as edges: pixel 0 spans 0 to 1.
    log : bool
        Whether values are spaced by their logarithms; `low` is above zero then.
    """

    low: float
    high: float
    start: float
    end: float
    log: bool = False

    def px(self, values: ArrayLike) -> NDArray[np.float64]:
        """Return the pixel coordinates of values; same shape.

        NaN for NaN, and for what has no logarithm where those are spaced.
        """
        given = np.asarray(values, np.float64)
        if self.log:
            above = np.where(given > 0, given, np.nan)
            share = np.log(above / self.low) / math.log(self.high / self.low)
        else:
            share = (given - self.low) / (self.high - self.low)
        return np.asarray(self.start + share * (self.end - self.start), np.float64)

    def at(self, value: float) -> float:
        """Return the pixel coordinate of one value."""
        return float(self.px(value))

    def value(self, px: float) -> float:
        """Return the value at a pixel coordinate."""
        share = (px - self.start) / (self.end - self.start)
        if self.log:
            return float(self.low * (self.high / self.low) ** share)
        return self.low + share * (self.high - self.low)

    @property
    def px_per_unit(self) -> float:
        """Pixels to one unit of value, positive; the mean where logarithms are spaced."""
        return abs((self.end - self.start) / (self.high - self.low))

    def minor(self, ticks: Ticks, least_px: float) -> tuple[tuple[Decimal, bool], ...]:
        """Return the unnumbered ticks, each with whether it is a half step, as on a rule.

        A step is cut into ten, else five, else two, else not at all, so that ticks are at least
        `least_px` apart. Between powers of ten there are their multiples from 2 to 9, as far as all
        of them have that room, else 2 and 5.
        """
        if self.log:
            return self._multiples(ticks, least_px)
        span = float(ticks.step) * self.px_per_unit
        parts = next((n for n in (10, 5, 2) if span / n >= least_px), 1)
        part = ticks.step / parts
        first = math.ceil(Decimal(repr(self.low)) / part - Decimal("1e-9"))
        last = math.floor(Decimal(repr(self.high)) / part + Decimal("1e-9"))
        return tuple(
            (part * n, parts != 5 and 2 * (n % parts) == parts)
            for n in range(first, last + 1)
            if n % parts
        )

    def _multiples(self, ticks: Ticks, least_px: float) -> tuple[tuple[Decimal, bool], ...]:
        closest = abs(self.at(10 * self.low) - self.at(9 * self.low))
        several = range(2, 10) if closest >= least_px else (2, 5)
        first = math.floor(math.log10(self.low) + 1e-9)
        last = math.ceil(math.log10(self.high) - 1e-9)
        values = (Decimal(n).scaleb(power) for power in range(first, last) for n in several)
        numbered = set(ticks.numbered)
        return tuple(
            (value, int(value.scaleb(-value.adjusted())) == 5)
            for value in values
            if value not in numbered and self.low <= float(value) <= self.high
        )


@dataclass(frozen=True, slots=True)
class Axes:
    """Time across and a value upwards, over a rectangle of the canvas.

    Whoever looks at a frame can turn its pixels back into seconds and values with these.
    """

    time: Scale
    value: Scale
    plot: Rect
    unit: str

    def points(self, time_s: Sequence[float] | NDArray[np.float64], values: ArrayLike
               ) -> NDArray[np.float64]:  # fmt: skip
        """Return canvas points of shape (N, 2)."""
        return np.stack([self.time.px(time_s), self.value.px(values)], axis=1)
