"""Tables of figures: every take takes its own keys and no others."""

from __future__ import annotations

from typing import Any, get_args

import pytest
from pydantic import TypeAdapter, ValidationError

from overlays.model.figurespec import AnyFigure, FigureSpec, RiseTimeFigure
from overlays.units import Quantity

ADAPTER: TypeAdapter[AnyFigure] = TypeAdapter(AnyFigure)
TRACE = {"test": "t"}
# The least that each take needs.
LEAST: dict[str, dict[str, Any]] = {
    "peak": TRACE,
    "minimum": TRACE,
    "range": TRACE,
    "mean": TRACE,
    "percentile": {**TRACE, "share": "95 %"},
    "at": {**TRACE, "at": "1 s"},
    "time_to": {**TRACE, "level": "5 N"},
    "time_above": {**TRACE, "level": "5 N"},
    "rise_time": TRACE,
    "slope": TRACE,
    "fade": {**TRACE, "start": "0 s", "end": "1 s", "then_start": "3 s", "then_end": "4 s"},
    "settled": {**TRACE, "over": "1 s", "band": "2 %"},
    "settling_time": {**TRACE, "over": "1 s", "band": "2 %"},
    "area": TRACE,
    "impulse": TRACE,
    "work": TRACE,
    "ratio": {"of": "a", "by": "b"},
    "difference": {"of": "a", "by": "b"},
    "attribute": {"attribute": "price"},
}


def figure(take: str, **keys: Any) -> FigureSpec:
    return ADAPTER.validate_python({"label": "x", "take": take, **keys})


def test_every_take_is_listed_here() -> None:
    """The table above covers what can be declared."""
    (tables, *_rest) = get_args(AnyFigure)
    takes = {name for t in get_args(tables) for name in get_args(t.model_fields["take"].annotation)}
    assert takes == set(LEAST)


@pytest.mark.parametrize("take", sorted(LEAST))
def test_the_least_is_enough_and_needed(take: str) -> None:
    """A take reads with its least keys, and not without any one of them."""
    assert figure(take, **LEAST[take]).take == take
    for left_out in LEAST[take]:
        rest = {key: value for key, value in LEAST[take].items() if key != left_out}
        with pytest.raises(ValidationError, match="Field required"):
            figure(take, **rest)


@pytest.mark.parametrize("take", sorted(LEAST))
def test_keys_of_other_takes_are_refused(take: str) -> None:
    """A key that a take does not know is a slip, not something to ignore."""
    with pytest.raises(ValidationError, match="Extra inputs"):
        figure(take, **LEAST[take], nonsense="5 N")


def test_defaults_are_read_like_text() -> None:
    """A default quantity is a quantity."""
    rise = figure("rise_time", **TRACE)
    assert isinstance(rise, RiseTimeFigure)
    assert (rise.low, rise.high) == (Quantity(10.0, "%"), Quantity(90.0, "%"))
