"""How a test's traces are conditioned: gaps, spikes, zero, trigger, filters."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from overlays.model.spec import (
    AmountField,
    Key,
    PositiveField,
    QuantityField,
    SpanField,
    Spec,
    TimeField,
    told,
)

__all__ = [
    "AnyFilter",
    "ButterworthSpec",
    "ChannelClassSpec",
    "FilterSpec",
    "GapSpec",
    "MovingMedianSpec",
    "SavitzkyGolaySpec",
    "SpikeSpec",
    "TriggerSpec",
    "ZeroSpec",
]


class ZeroSpec(Spec):
    """The table ``zero`` of a test: the window that counts as zero, in time from the trigger."""

    start: TimeField
    """Where the window begins; negative before the trigger."""
    end: TimeField
    """Where it ends."""
    channels: tuple[Key, ...]
    """Which channels are zeroed."""
    after_start: TimeField | None = None
    """Where a second window begins, after the test, to see whether the zero has drifted."""
    after_end: TimeField | None = None
    """Where that one ends."""
    drift_limit: AmountField = Field(default="2 %", validate_default=True)
    """Drift that is flagged, as a share of the trace's range."""
    drift: Literal["report", "remove"] = "report"
    """Whether drift is only reported, or taken off along a straight line between the windows."""

    @model_validator(mode="after")
    def _windows(self) -> Self:
        first = ("start", "end", self.start, self.end)
        second = ("after_start", "after_end", self.after_start, self.after_end)
        for a, b, start, end in (first, second):
            if (start is None) != (end is None):
                raise _half(a, b)
            if start is not None and end is not None and end.to("s") <= start.to("s"):
                raise told(
                    f"{b!r} is not later than {a!r}.",
                    code="empty-window",
                    remedy="Let the window end after it begins.",
                )
        if self.drift == "remove" and self.after_start is None:
            raise _half("after_start", "after_end")
        return self


def _half(a: str, b: str) -> PydanticCustomError:
    return told(
        f"the window after the test needs both {a!r} and {b!r}.",
        code="missing-key",
        remedy="Say where it begins and where it ends.",
    )


class TriggerSpec(Spec):
    """The table ``trigger`` of a test: where time 0 lies."""

    channel: Key
    """The channel that is watched."""
    level: QuantityField
    """Time 0 is where the channel reaches this."""
    rearm: QuantityField
    """Before that, it must have been at this or beyond, so that noise does not trigger."""
    edge: Literal["rising", "falling"] = "rising"
    """From which side the level is reached."""


class GapSpec(Spec):
    """The table ``gaps`` of a test."""

    longer_than: SpanField | None = None
    """A longer step between two samples is a gap; by default 1.8 usual steps, where steps are
    even enough to tell."""
    bridge: SpanField | None = None
    """Gaps up to this long are bridged by a straight line; by default none are."""


class SpikeSpec(Spec):
    """A table ``spikes.CHANNEL`` of a test: samples far off their neighbours are replaced."""

    window: SpanField
    """Length of the neighbourhood."""
    times: float = Field(default=6.0, ge=3.0)
    """How many robust standard deviations off the neighbourhood's median a spike lies."""


class FilterSpec(Spec):
    """What every table ``filters.CHANNEL`` of a test has."""

    kind: str
    """Which filter it is."""


class ButterworthSpec(FilterSpec):
    """A Butterworth low-pass, run forward and backward, so that nothing is shifted in time."""

    kind: Literal["butterworth"]
    cutoff: PositiveField
    """Where the result, after both passes, is 3 dB down."""
    order: int = Field(default=4, ge=1, le=8)
    """Order of each of the two passes."""


class ChannelClassSpec(FilterSpec):
    """A channel frequency class of SAE J211-1 and ISO 6487."""

    kind: Literal["cfc"]
    channel_class: Literal[60, 180, 600, 1000]
    """The class; the result is 3 dB down at about 5/3 of it, in Hz."""


class SavitzkyGolaySpec(FilterSpec):
    """A Savitzky-Golay filter: a polynomial fitted to a moving window."""

    kind: Literal["savitzky_golay"]
    window: SpanField
    """Length of the window; the nearest odd number of samples is taken."""
    order: int = Field(default=2, ge=0, le=6)
    """Order of the polynomial."""


class MovingMedianSpec(FilterSpec):
    """A moving median: takes out spikes and keeps edges."""

    kind: Literal["moving_median"]
    window: SpanField
    """Length of the window; the nearest odd number of samples is taken."""


AnyFilter = Annotated[
    ButterworthSpec | ChannelClassSpec | SavitzkyGolaySpec | MovingMedianSpec,
    Field(discriminator="kind"),
]
