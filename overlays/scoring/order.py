"""How sure the order of the standings is."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

import numpy as np

from overlays.errors import Problems
from overlays.model.result import Figure, Results, Standing
from overlays.numbers import fixed
from overlays.scoring.draws import draw_figures
from overlays.scoring.ledger import LedgerRow
from overlays.scoring.season import Season, own_results, units_of

__all__ = ["Sureness", "Tipping", "how_sure", "tipping_weights"]

_DRAWS = 1000


@dataclass(frozen=True, slots=True)
class Sureness:
    """The chance of each rank of each entry.

    Parameters
    ----------
    chances : Mapping[str, Mapping[int, float]]
        By entry, then by rank; the chances of an entry add up to 1.
    draws : int
        How often the season was drawn anew.
    sentence : str
        What a host can say without overclaiming.
    """

    chances: Mapping[str, Mapping[int, float]]
    draws: int
    sentence: str


def how_sure(
    results: Results,
    ledger: Sequence[LedgerRow],
    *,
    draws: int = _DRAWS,
    seed: int = 1,
) -> Sureness:
    """Ask how often the order would come out differently, were everything run again.

    Every figure of this session is drawn anew from the scatter of the repeats, rounded as shown,
    scored and ranked by the season's own rules. What other episodes put into the ledger stands as
    it is, for their repeats are not in it.

    Parameters
    ----------
    results : Results
        What was worked out.
    ledger : sequence of LedgerRow
        The season's ledger.
    draws : int
        How often; the chances are then sure to about ±0.5/√draws.
    seed : int
        The same seed draws the same seasons.
    """
    rng = np.random.default_rng(seed)
    drawn = draw_figures(results, draws, rng)
    own = own_results(results.session, results.figures)
    # What cannot be scored has been told when the results were worked out.
    season = Season(results.session, ledger, Problems(), units=units_of(own))
    counts: dict[str, Counter[int]] = {one.row.entry: Counter() for one in results.standings}
    for place in range(draws):
        moved = {
            where: _moved(figure, float(drawn[where][place])) if where in drawn else figure
            for where, figure in own.items()
        }
        for row in season.after(moved):
            if row.rank is not None:
                counts[row.entry][row.rank] += 1
    chances = {
        entry: {rank: count[rank] / count.total() for rank in sorted(count)}
        for entry, count in counts.items()
        if count
    }
    return Sureness(chances, draws, _sentence(results, chances))


def _moved(figure: Figure, value: float) -> Figure:
    if not np.isfinite(value):
        return figure
    return replace(figure, value=value, shown=fixed(value, figure.places))


def _sentence(results: Results, chances: Mapping[str, Mapping[int, float]]) -> str:
    first = [one for one in results.standings if one.row.rank == 1]
    if not first:
        return "Nobody has a score yet."
    if not _has_scatter(results):
        why = "All repeats came out alike" if _has_repeats(results) else "Nothing was run twice"
        return f"{why}, so nobody can say how sure the order is."
    leader = first[0].row
    chance = sum(chances[one.row.entry].get(1, 0.0) for one in first[:1])
    # Nobody is told as certain: the scatter itself is known from a few runs only.
    told = "more than 95" if chance > 0.95 else f"about {round(chance * 20) * 5}"
    rival = _rival(results.standings, chances, leader.entry)
    sentence = f"Were everything run again, {leader.name} would come first {told} times in 100"
    return sentence + (f"; else most likely {rival}." if rival else ".")


def _has_repeats(results: Results) -> bool:
    return any(figure.n > 1 for figure in results.figures.values())


def _has_scatter(results: Results) -> bool:
    return any(figure.n > 1 and figure.spread for figure in results.figures.values())


def _rival(
    standings: Sequence[Standing], chances: Mapping[str, Mapping[int, float]], leader: str
) -> str | None:
    others = [one.row for one in standings if one.row.entry in chances and one.row.entry != leader]
    best = max(others, key=lambda row: chances[row.entry].get(1, 0.0), default=None)
    if best is None or chances[best.entry].get(1, 0.0) < 0.05:
        return None
    return best.name


@dataclass(frozen=True, slots=True)
class Tipping:
    """How far one column's weight must move before first place changes.

    Parameters
    ----------
    column : str
        Key of the column.
    factor : float or None
        The weight at which another entry draws level, 1 being today's; None where none does.
    entry : str or None
        Who draws level.
    sentence : str
        The same in words.
    """

    column: str
    factor: float | None
    entry: str | None
    sentence: str


def tipping_weights(results: Results) -> tuple[Tipping, ...]:
    """Return for each column how far its weight must move before first place changes.

    The leader is ahead of another entry by Σ d_k, d_k being their difference of points in column
    k. With column k counted f times, that is Σ d + (f - 1) d_k, which is zero at
    f = 1 - Σ d / d_k. Points are taken as shown.
    """
    first = [one.row for one in results.standings if one.row.rank == 1]
    scored = [one.row for one in results.standings if one.row.score is not None]
    if len(first) != 1 or len(scored) < 2:
        return ()
    leader = first[0]
    found = []
    for key, column in results.session.spec.points.items():
        label = column.label or results.session.spec.figures[column.figure].label
        factors: list[tuple[Decimal, str]] = []
        for row in scored:
            in_column = (leader.points[key] or Decimal(0)) - (row.points[key] or Decimal(0))
            lead = (leader.score or Decimal(0)) - (row.score or Decimal(0))
            if row.entry != leader.entry and in_column and 1 - lead / in_column >= 0:
                factors.append((1 - lead / in_column, row.entry))
        if not factors:
            sentence = f"No weight of “{label}” would cost {leader.name} the first place."
            found.append(Tipping(key, None, None, sentence))
            continue
        factor, entry = min(factors, key=lambda one: abs(one[0] - 1))
        name = next(row.name for row in scored if row.entry == entry)
        found.append(Tipping(key, float(factor), entry, _tipping(label, factor, name)))
    return tuple(found)


def _tipping(label: str, factor: Decimal, name: str) -> str:
    way = "more" if factor > 1 else "less"
    return (
        f"{name} would draw level if “{label}” counted {fixed(factor, 2)} times as much, or {way}."
    )
