"""How far a session says its numbers can be trusted: instruments, acceptance, limits, standings."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from overlays.model.spec import AmountField, Key, PositiveField, QuantityField, Spec

__all__ = ["AcceptSpec", "InstrumentSpec", "LimitSpec", "StandingsSpec"]


class InstrumentSpec(Spec):
    """The table ``instrument`` of a channel: what its data sheet or calibration says."""

    of_reading: AmountField | None = None
    """Error as a share of the reading, such as "0.5 %"."""
    of_range: AmountField | None = None
    """Error as a share of the range."""
    range: PositiveField | None = None
    """The range, in a unit like the channel's."""
    fixed: AmountField | None = None
    """Error in a unit like the channel's, whatever the reading."""
    stated: Literal["limits", "k = 1", "k = 2"] = "limits"
    """Whether these are limits of error, or uncertainties with their coverage factor."""


class AcceptSpec(Spec):
    """The table ``accept`` of a test: when the repeats of an entry are good enough."""

    runs: int = Field(default=1, ge=1)
    """Fewest valid runs."""
    variation: AmountField | None = None
    """Highest coefficient of variation of the main figure, such as "4 %"."""


class LimitSpec(Spec):
    """The table ``limit`` of a figure: what it has to meet."""

    above: QuantityField | None = None
    """It has to lie above this."""
    at_least: QuantityField | None = None
    """It has to reach this."""
    below: QuantityField | None = None
    """It has to lie below this."""
    at_most: QuantityField | None = None
    """It must not exceed this."""


class StandingsSpec(Spec):
    """The table ``[standings]``: how a season ranks."""

    ranks: Literal["1, 1, 3", "1, 1, 2"] = "1, 1, 3"
    """How ranks are counted after a tie."""
    tie_breaks: tuple[Key, ...] = ()
    """Columns that part a tie, the first one first; "firsts" counts the columns led."""
    references: Literal["season", "frozen"] = "season"
    """Whether shares are of the season's best so far, or of the best after `frozen_after`."""
    frozen_after: int | None = Field(default=None, ge=1)
    """The episode after which the references no longer move."""
