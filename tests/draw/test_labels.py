"""Labels: order kept, apart, inside, moved as little as can be; against a solver."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize

from overlays.draw.labels import place

CASES = Path(__file__).parents[1] / "data" / "cases"


def test_the_case_of_three_curves_that_end_alike() -> None:
    """Axis 0–100 over 1000 px, labels 40 px: the least-squares answer (case chart_end_labels)."""
    with (CASES / "chart_end_labels.csv").open(encoding="utf-8") as file:
        ends = {row["curve"]: float(row["last_value"]) * 10 for row in csv.DictReader(file)}
    ordered = sorted(ends, key=ends.__getitem__)
    got = dict(zip(ordered, place([ends[k] for k in ordered], 40, 20, 980), strict=True))
    wanted = {"e": 120.0, "a": 464.333, "b": 504.333, "c": 544.333, "d": 800.0}
    assert got == pytest.approx(wanted, abs=1e-3)


@settings(max_examples=60, deadline=None)
@given(
    wanted=st.lists(st.floats(0, 500), min_size=1, max_size=6),
    apart=st.floats(1, 60),
)
def test_no_other_places_move_less(wanted: list[float], apart: float) -> None:
    """A general solver (SciPy SLSQP) finds no better places under the same constraints."""
    low, high, count = 10.0, 480.0, len(wanted)
    got = place(wanted, apart, low, high)
    assert (np.diff(got) >= apart - 1e-9).all()
    assert (got >= low - 1e-9).all()
    assert (got <= high + 1e-9).all()
    cost_of = np.array(wanted)
    spaced: Any = {"type": "ineq", "fun": lambda x: np.diff(x) - apart}
    solved = minimize(
        lambda x: float(((x - cost_of) ** 2).sum()),
        np.linspace(low, high, count),
        bounds=[(low, high)] * count,
        constraints=spaced if count > 1 else (),
        method="SLSQP",
    )
    cost = ((got - wanted) ** 2).sum()
    assert cost <= solved.fun + 1e-3 * max(1.0, solved.fun)


def test_too_little_room_spreads_evenly() -> None:
    """Where labels cannot be as far apart as wanted, they share the room."""
    np.testing.assert_allclose(place([50, 50, 50], 40, 0, 60), [0, 30, 60])
    assert len(place([], 40, 0, 60)) == 0


def test_the_order_given_is_kept() -> None:
    """The order is the caller's, even where the wishes say otherwise."""
    got = place([300, 100], 40, 0, 500)
    np.testing.assert_allclose(got, [180, 220])
