"""Rows get from one order to another one at a time, and pass each other only so."""

from __future__ import annotations

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from overlays.kinds._travel import order_after, places, travel


@st.composite
def tables(draw: st.DrawFn) -> tuple[list[int], list[int], list[int]]:
    """Return an order before, an order now that may have more rows, and who travels."""
    after = draw(st.permutations(range(draw(st.integers(0, 12)))))
    there = draw(st.sets(st.sampled_from(after))) if after else set()
    before = draw(st.permutations(sorted(there)))
    travellers = draw(st.lists(st.sampled_from(after), unique=True)) if after else []
    return list(before), list(after), travellers


@given(tables())
def test_journeys_lead_from_the_order_before_to_the_order_now(
    table: tuple[list[int], list[int], list[int]],
) -> None:
    """After the last journey every row is in its place, and nobody has travelled twice."""
    before, after, travellers = table
    steps = travel(before, after, travellers)
    order = tuple(before)
    for step in steps:
        order = order_after(order, step)
        assert order[step.end] == step.row
    assert order == tuple(after)
    rows = [step.row for step in steps]
    assert len(set(rows)) == len(rows)
    assert rows[len(rows) - len(travellers) :] == travellers
    assert {step.row for step in steps if step.arrives} == set(after) - set(before)


@given(tables(), st.floats(0, 1))
def test_only_the_traveller_passes_others(
    table: tuple[list[int], list[int], list[int]], share: float
) -> None:
    """At any moment of a journey the other rows are in order and a whole place apart."""
    before, after, travellers = table
    order = tuple(before)
    for step in travel(before, after, travellers):
        found = places(order, step, share)
        rest = [found[row] for row in order if row != step.row]
        assert all(b - a >= 1 - 1e-9 for a, b in pairwise(rest))
        order = order_after(order, step)
        assert places(order, None, 0.0) == places(order, None, 0.5)
        assert (
            places(tuple(r for r in order if r != step.row or not step.arrives), step, 1.0)
            == {row: float(index) for index, row in enumerate(order)}
            or not step.arrives
        )


def test_as_few_rows_as_can_be_travel_unasked() -> None:
    """Of rows that nobody named only those travel that the new order leaves no choice."""
    steps = travel([0, 1, 2, 3, 4], [4, 0, 1, 2, 3], [])
    assert [(step.row, step.start, step.end) for step in steps] == [(4, 4, 0)]


def test_a_journey_over_three_rows_moves_each_as_it_is_passed() -> None:
    """Worked out by hand: half way up from place 3 to 0, one row has been passed, one is being."""
    (step,) = travel([0, 1, 2, 3], [3, 0, 1, 2], [3])
    assert places([0, 1, 2, 3], step, 0.5) == {3: 1.5, 0: 0.0, 1: 1.5, 2: 3.0}
    assert places([0, 1, 2, 3], step, 1.0) == {3: 0.0, 0: 1.0, 1: 2.0, 2: 3.0}
