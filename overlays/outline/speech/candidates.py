"""The values of the data that a claim may be about, in the claim's own terms."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from overlays.numbers import fixed, rounded
from overlays.outline.speech.claims import Claim
from overlays.outline.speech.known import Knowledge, Known
from overlays.units import convert, convert_difference, difference_unit, same_dimension, symbol

__all__ = ["Candidate", "candidates"]


@dataclass(frozen=True, slots=True)
class Candidate:
    """One value of the data to hold a claim against.

    Parameters
    ----------
    value : float
        In the claim's unit; for a ratio or an excess a plain number.
    label : str
        What it is, in words.
    shown : str
        The value as it is shown.
    figures : tuple of (str, str)
        (figure, entry) it draws on.
    entries : tuple of str
        Whose it is, the subject first; empty for a setting.
    """

    value: float
    label: str
    shown: str
    figures: tuple[tuple[str, str], ...]
    entries: tuple[str, ...]


def candidates(claim: Claim, knowledge: Knowledge, entries: Sequence[str]) -> Iterator[Candidate]:
    """Yield everything of some entries that measures what the claim speaks of.

    Parameters
    ----------
    claim : Claim
        What was said.
    knowledge : Knowledge
        The data.
    entries : sequence of str
        Whose; an empty one stands for the session's settings.
    """
    if claim.form == "amount":
        yield from _amounts(claim, knowledge, entries)
    elif claim.form == "difference":
        yield from _differences(claim, knowledge, entries)
    elif claim.form == "ratio":
        yield from _ratios(knowledge, entries, excess=0)
    else:
        yield from _ratios(knowledge, entries, excess=claim.side or 1)


def _amounts(claim: Claim, knowledge: Knowledge, entries: Sequence[str]) -> Iterator[Candidate]:
    pool = knowledge.of(entries) if entries else iter(knowledge.amounts[None])
    for known in pool:
        if not claim.units:
            # Said without a unit: only a figure is meant, in whatever it is measured.
            if known.is_figure:
                yield _candidate(known, known.value)
            continue
        for unit in claim.units:
            if _alike(known.unit, unit):
                value = (
                    known.value if known.unit == unit else convert(known.value, known.unit, unit)
                )
                yield _candidate(known, value)


def _candidate(known: Known, value: float) -> Candidate:
    figures = ((known.name, known.entry),) if known.is_figure and known.entry else ()
    entries = (known.entry,) if known.entry else ()
    return Candidate(value, known.label, known.shown, figures, entries)


@lru_cache(maxsize=4096)
def _alike(a: str, b: str) -> bool:
    if a == b:
        return True
    return "points" not in (a, b) and same_dimension(a, b)


def _pairs(knowledge: Knowledge, entries: Sequence[str]) -> Iterator[tuple[Known, Known]]:
    """Yield the same thing of two entries, the earlier named first; of one, against all others."""
    everyone = list(knowledge.session.spec.entries)
    pairs = (
        itertools.combinations(entries, 2)
        if len(entries) > 1
        else ((entry, other) for entry in entries for other in everyone if other != entry)
    )
    for first, second in pairs:
        others = {_kind(known): known for known in knowledge.of([second])}
        for known in knowledge.of([first]):
            other = others.get(_kind(known))
            if other is not None and _alike(known.unit, other.unit):
                yield known, other


def _kind(known: Known) -> tuple[str, bool, bool]:
    """Tell what is known of two entries alike: a price and the points for it share a name."""
    return known.name, known.is_figure, known.unit == "points"


def _differences(claim: Claim, knowledge: Knowledge, entries: Sequence[str]) -> Iterator[Candidate]:
    for a, b in _pairs(knowledge, entries):
        for unit in claim.units:
            if not _alike(a.unit, unit):
                continue
            in_a = b.value if a.unit == b.unit else convert(b.value, b.unit, a.unit)
            places = max(a.places, b.places)
            sign = "points" if a.unit == "points" else symbol(difference_unit(a.unit))
            # The difference of what is shown is what is filled in; that of what was measured,
            # where it differs, is no less true.
            as_shown = float(rounded(a.value, a.places) - rounded(in_a, b.places))
            for gap in (as_shown, a.value - in_a):
                value = gap if a.unit == unit else convert_difference(gap, a.unit, unit)
                yield _pair(a, b, value, f"{fixed(gap, places)} {sign}", "minus")


def _pair(a: Known, b: Known, value: float, shown: str, joint: str) -> Candidate:
    figures = tuple((k.name, k.entry) for k in (a, b) if k.is_figure and k.entry)
    entries = tuple(k.entry for k in (a, b) if k.entry)
    return Candidate(value, f"{a.label} {joint} {b.label}", shown, figures, entries)


def _ratios(knowledge: Knowledge, entries: Sequence[str], *, excess: int) -> Iterator[Candidate]:
    """Yield ratios; with `excess`, how much more (1) or less (-1) the first is as a share."""
    if not excess:
        for known in knowledge.of(entries):
            if known.unit == "%":
                yield _candidate(known, known.value / 100)
            elif not known.unit and known.is_figure:
                yield _candidate(known, known.value)
    own = (
        (a, b)
        for entry in entries
        for a, b in itertools.permutations(knowledge.of([entry]), 2)
        if a.is_figure and not b.is_figure and b.unit != "points" and _alike(a.unit, b.unit)
    )
    for a, b in itertools.chain(own, _both_ways(_pairs(knowledge, entries))):
        in_a = b.value if a.unit == b.unit else convert(b.value, b.unit, a.unit)
        if not in_a or a.unit in ("degC", "degF"):  # no ratio of temperatures on such a scale
            continue
        ratio = a.value / in_a
        value = (ratio - 1) * excess if excess else ratio
        shown = f"{fixed(100 * ratio, 0)} %" if not excess else f"{fixed(100 * (ratio - 1), 0)} %"
        yield _pair(a, b, value, shown, "against" if excess else "over")


def _both_ways(pairs: Iterator[tuple[Known, Known]]) -> Iterator[tuple[Known, Known]]:
    for a, b in pairs:
        yield a, b
        yield b, a
