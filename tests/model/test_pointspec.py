"""Tables of points."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import TypeAdapter, ValidationError

from overlays.model.pointspec import AnyPoints, SharePoints, StepsPoints
from overlays.units import Quantity

ADAPTER: TypeAdapter[AnyPoints] = TypeAdapter(AnyPoints)


def points(**keys: Any) -> AnyPoints:
    return ADAPTER.validate_python({"figure": "f", "most": 10, **keys})


def test_share_of_the_best_is_the_default_rule() -> None:
    """A column without a rule is scored by share of the best."""
    assert isinstance(points(), SharePoints)
    assert points().weight == 1.0


def test_steps_are_pairs_of_value_and_points() -> None:
    """Values are read with their units."""
    spec = points(rule="steps", steps=[["20 g", 10], ["25 g", 6]])
    assert isinstance(spec, StepsPoints)
    assert spec.steps == ((Quantity(20.0, "g"), 10.0), (Quantity(25.0, "g"), 6.0))


@pytest.mark.parametrize(
    "keys",
    [
        {"most": 0},
        {"most": float("nan")},
        {"weight": -1},
        {"places": 5},
        {"rule": "stairs"},
        {"rule": "steps", "steps": []},
        {"rule": "line", "none_at": "1 N"},
        {"rule": "share_of_claim"},
        {"at_most": 0.5},
        {"none_at": "1 N"},
    ],
)
def test_what_makes_no_sense_is_refused(keys: dict[str, Any]) -> None:
    """No points to give, an unknown rule, missing or foreign keys."""
    with pytest.raises(ValidationError):
        points(**keys)
