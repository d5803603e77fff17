"""How a table's rows get from one order to another: one row travels at a time."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

__all__ = ["Step", "order_after", "places", "travel"]


@dataclass(frozen=True, slots=True)
class Step:
    """One row's journey.

    Parameters
    ----------
    row : int
        Which row.
    start, end : int
        Its places in the table, counted from 0, before and after.
    arrives : bool
        Whether it is new, and comes in below the last row.
    """

    row: int
    start: int
    end: int
    arrives: bool


def travel(before: Sequence[int], after: Sequence[int], travellers: Sequence[int]
           ) -> tuple[Step, ...]:  # fmt: skip
    """Return the journeys that turn one order into another.

    Rows that are no travellers move only where they must: the fewest of them, and before the
    travellers. Each row goes to its place among those that stand already.

    Parameters
    ----------
    before, after : sequence of int
        Rows by place; `after` has all rows, `before` those that were there.
    travellers : sequence of int
        Rows that travel in any case, in this order.
    """
    there = set(before)
    rest = [row for row in after if row not in travellers]
    staying = _staying([row for row in before if row in rest], rest)
    first = [row for row in reversed(rest) if row not in staying]
    order, settled = list(before), set(staying)
    place = {row: index for index, row in enumerate(after)}
    steps = []
    for row in (*first, *travellers):
        arrives = row not in there
        start = len(order) if arrives else order.index(row)
        if not arrives:
            order.pop(start)
        above = [
            i for i, other in enumerate(order) if other in settled and place[other] < place[row]
        ]
        end = above[-1] + 1 if above else 0
        order.insert(end, row)
        settled.add(row)
        steps.append(Step(row, start, end, arrives))
    return tuple(steps)


def _staying(before: Sequence[int], after: Sequence[int]) -> frozenset[int]:
    """Return the most rows that are in the same order in both: a longest rising sequence."""
    place = {row: index for index, row in enumerate(after)}
    tails: list[int] = []
    links: list[int | None] = []
    ends: list[int] = []
    for index, row in enumerate(before):
        at = bisect_left(tails, place[row])
        links.append(ends[at - 1] if at else None)
        tails[at : at + 1] = [place[row]]
        ends[at : at + 1] = [index]
    kept = set()
    here = ends[-1] if ends else None
    while here is not None:
        kept.add(before[here])
        here = links[here]
    return frozenset(kept)


def order_after(order: Sequence[int], step: Step) -> tuple[int, ...]:
    """Return the rows by place after a journey."""
    rest = [row for row in order if row != step.row]
    return (*rest[: step.end], step.row, *rest[step.end :])


def places(order: Sequence[int], step: Step | None, share: float) -> Mapping[int, float]:
    """Return every row's place while a journey is under way.

    A row that the traveller passes steps aside by one whole place, just as it is passed, so that
    the others keep at least one place apart at all times.

    Parameters
    ----------
    order : sequence of int
        Rows by place before the journey.
    step : Step or None
        The journey, if any.
    share : float
        How far it has come, 0 to 1.
    """
    if step is None:
        return {row: float(index) for index, row in enumerate(order)}
    here = step.start + (step.end - step.start) * share
    found = {}
    for index, row in enumerate(order):
        aside = 0.0
        if step.end <= index < step.start:
            aside = min(max(index + 1 - here, 0.0), 1.0)
        elif step.start < index <= step.end:
            aside = -min(max(here - index + 1, 0.0), 1.0)
        found[row] = index + aside
    found[step.row] = here
    return found
