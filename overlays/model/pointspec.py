"""How figures become points: one table a rule, with the keys that rule knows."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from overlays.model.spec import Key, QuantityField, ShownText, Spec

__all__ = [
    "AnyPoints",
    "ClaimPoints",
    "LinePoints",
    "PenaltyPoints",
    "PointsSpec",
    "SharePoints",
    "StepsPoints",
]


class PointsSpec(Spec):
    """What every table ``[points.KEY]`` has: a column of the score table."""

    label: ShownText = ""
    """What the column is called; the figure's label where it is left out."""
    figure: Key
    """The figure that is scored."""
    rule: str = "share_of_best"
    """How it becomes points."""
    most: float = Field(gt=0, le=1_000_000)
    """The points for the best there can be; for a penalty, the most that is taken away."""
    places: int = Field(default=1, ge=0, le=4)
    """Decimals shown and counted."""
    weight: float = Field(default=1.0, gt=0, le=1000)
    """Multiplies the column's points before they are rounded."""


class SharePoints(PointsSpec):
    """Points by share of the best of the season."""

    rule: Literal["share_of_best"] = "share_of_best"
    best: QuantityField | None = None
    """A fixed reference instead of the season's best: nothing then moves when a new best comes."""
    at_most: float = Field(default=1.0, ge=1.0)
    """The highest share that counts, for a value beyond a fixed reference."""


class LinePoints(PointsSpec):
    """Points on the straight line between two values, none before it and no more after."""

    rule: Literal["line"]
    none_at: QuantityField
    """The value that gives no points."""
    most_at: QuantityField
    """The value that gives them all."""


class StepsPoints(PointsSpec):
    """Points by steps: the first step that the value reaches counts."""

    rule: Literal["steps"]
    steps: tuple[tuple[QuantityField, float], ...] = Field(min_length=1)
    """Pairs of value and points, from the best step down."""


class ClaimPoints(PointsSpec):
    """Points by the share of what is claimed, with a ceiling."""

    rule: Literal["share_of_claim"]
    claim: Key
    """The attribute that says what is claimed."""
    ceiling: float = Field(default=1.0, gt=0)
    """The highest share that counts: 1 where more than claimed earns nothing more."""


class PenaltyPoints(PointsSpec):
    """Points taken away, on the straight line between two values."""

    rule: Literal["penalty"]
    none_at: QuantityField
    """The value that costs nothing."""
    most_at: QuantityField
    """The value that costs the most."""


def _with_rule(value: object) -> object:
    return {"rule": "share_of_best"} | value if isinstance(value, dict) else value


AnyPoints = Annotated[
    SharePoints | LinePoints | StepsPoints | ClaimPoints | PenaltyPoints,
    Field(discriminator="rule"),
    BeforeValidator(_with_rule),
]
