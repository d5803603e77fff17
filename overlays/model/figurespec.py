"""How a figure is taken: one table a take, with the keys that take knows.

Times in a run count from the trigger. A window without `start` begins at the trigger, one without
`end` ends with the test's length. What each take computes is said in `overlays.scoring.takes`.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from overlays.model.spec import (
    AmountField,
    Better,
    Key,
    PositiveField,
    QuantityField,
    ShownText,
    SpanField,
    Spec,
    TimeField,
)
from overlays.model.trustspec import LimitSpec

__all__ = [
    "AnyFigure",
    "AreaFigure",
    "AtFigure",
    "AttributeFigure",
    "DifferenceFigure",
    "DurationFigure",
    "FadeFigure",
    "FigureSpec",
    "ImpulseFigure",
    "MeanFigure",
    "MinimumFigure",
    "PairFigure",
    "PeakFigure",
    "PercentileFigure",
    "RangeFigure",
    "RatioFigure",
    "RiseTimeFigure",
    "SettledFigure",
    "SlopeFigure",
    "TimeToFigure",
    "TraceFigure",
    "WindowFigure",
    "WorkFigure",
]


class FigureSpec(Spec):
    """What every table ``[figures.KEY]`` has."""

    label: ShownText
    """What the figure is called on screen."""
    take: str
    """How it is taken."""
    unit: str | None = None
    """The unit shown; the channel's where it is left out."""
    places: int | None = Field(default=None, ge=0, le=6)
    """Decimals shown; where left out, as many as the uncertainties of all entries support (GUM
    7.2.6), and 1 where nothing was repeated."""
    better: Better = "higher"
    """Whether a higher or a lower value is the better one."""
    limit: LimitSpec | None = None
    """What it has to meet."""


class TraceFigure(FigureSpec):
    """A figure taken from one channel of one test."""

    test: Key
    """The test it is taken from."""
    channel: Key | None = None
    """The channel; may be left out where the test has only one."""


class WindowFigure(TraceFigure):
    """A figure taken from a window of time."""

    start: TimeField | None = None
    """Start of the window, from the trigger; the trigger where it is left out."""
    end: TimeField | None = None
    """End of the window, from the trigger; the test's length where it is left out."""
    gaps: Literal["refuse", "leave out"] = "refuse"
    """Whether a gap in the window leaves the figure missing, or only itself out."""


class PeakFigure(WindowFigure):
    """The highest value."""

    take: Literal["peak"]


class MinimumFigure(WindowFigure):
    """The lowest value."""

    take: Literal["minimum"]


class RangeFigure(WindowFigure):
    """The highest value minus the lowest."""

    take: Literal["range"]


class MeanFigure(WindowFigure):
    """The mean over time."""

    take: Literal["mean"]


class PercentileFigure(WindowFigure):
    """The value that the trace stays at or below for a share of the time."""

    take: Literal["percentile"]
    share: AmountField
    """The share, such as "95 %"."""


class AtFigure(TraceFigure):
    """The value at a time, between two samples on the straight line."""

    take: Literal["at"]
    at: TimeField
    """The time, from the trigger."""


class TimeToFigure(WindowFigure):
    """The time until a level is first reached."""

    take: Literal["time_to"]
    level: QuantityField
    """The level; in % it is a share of the window's peak (unless the channel is in %)."""
    edge: Literal["rising", "falling"] = "rising"
    """Whether the level is reached from below or from above."""


class DurationFigure(WindowFigure):
    """The time spent above a level."""

    take: Literal["time_above"]
    level: QuantityField
    """The level; in % it is a share of the window's peak (unless the channel is in %)."""
    count: Literal["total", "first to last"] = "total"
    """All the time above the level, or from the first time it is passed to the last."""


class RiseTimeFigure(WindowFigure):
    """The time from a low level to a high one, both as a share of the window's peak."""

    take: Literal["rise_time"]
    low: QuantityField = Field(default="10 %", validate_default=True)
    """The lower level."""
    high: QuantityField = Field(default="90 %", validate_default=True)
    """The upper level."""


class SlopeFigure(WindowFigure):
    """The slope of the least-squares straight line."""

    take: Literal["slope"]


class FadeFigure(WindowFigure):
    """The drop of the mean from one window to a later one; in % of the first unless `unit` says."""

    take: Literal["fade"]
    start: TimeField
    """Start of the first window, from the trigger."""
    end: TimeField
    """End of the first window."""
    then_start: TimeField
    """Start of the later window."""
    then_end: TimeField
    """End of the later window."""


class SettledFigure(WindowFigure):
    """The value the channel settles at, or the time after which it stays there."""

    take: Literal["settled", "settling_time"]
    over: SpanField
    """How much of the window's end has to lie within the band."""
    band: PositiveField
    """Half-width of the band; in % it is a share of the settled value."""


class AreaFigure(WindowFigure):
    """The area under the trace, by trapezoids."""

    take: Literal["area"]


class ImpulseFigure(WindowFigure):
    """The area under a force or a torque."""

    take: Literal["impulse"]


class WorkFigure(WindowFigure):
    """The work done: force along a way, torque through an angle, or power over time."""

    take: Literal["work"]
    along: Key | None = None
    """The channel with the way, angle or speed; left out where `channel` is power."""


class PairFigure(FigureSpec):
    """A figure made of two figures or attributes."""

    of: Key
    """A figure or an attribute."""
    by: Key
    """A figure or an attribute."""


class RatioFigure(PairFigure):
    """One figure or attribute divided by another."""

    take: Literal["ratio"]
    times: QuantityField | None = None
    """A fixed quantity the ratio is multiplied by."""


class DifferenceFigure(PairFigure):
    """One figure or attribute minus another."""

    take: Literal["difference"]


class AttributeFigure(FigureSpec):
    """An attribute, so that it can be compared and scored."""

    take: Literal["attribute"]
    attribute: Key
    """The attribute."""


AnyFigure = Annotated[
    PeakFigure
    | MinimumFigure
    | RangeFigure
    | MeanFigure
    | PercentileFigure
    | AtFigure
    | TimeToFigure
    | DurationFigure
    | RiseTimeFigure
    | SlopeFigure
    | FadeFigure
    | SettledFigure
    | AreaFigure
    | ImpulseFigure
    | WorkFigure
    | RatioFigure
    | DifferenceFigure
    | AttributeFigure,
    Field(discriminator="take"),
]
