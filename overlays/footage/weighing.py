"""One place weighed: whether what is learnt from most of a run foretells the sound of the rest.

A door that slams where a run would begin fits its rise as well as the run itself does. It does not
fit its end. So the run is cut where nothing happens, how each band follows the trace is learnt from
all parts but one, and that one is foretold; only what is foretold counts (cross validation, Stone
1974). Errors are weighed as Student's t with four degrees of freedom does, so that a bang neither
makes a place nor spoils one.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from overlays.footage.hearing import ROWS_PER_S
from overlays.footage.scanning import Template
from overlays.footage.whiten import Flags, Sound
from overlays.model.trace import FloatArray

__all__ = ["Fine", "Weight", "cut_rows", "fine_place", "weigh"]

_RIDGE = 0.02
_FREEDOM = 4.0
_LEAST_ROWS = 40
_QUIET_ROWS = 41
_PARTS = 4
_START_S = (-0.3, 0.7)
_SEARCH = 20  # rows on both sides, 0.1 s
_BLOCKS = 12
_DRAWS = 200
_SEED = 5


@dataclass(frozen=True, slots=True)
class Weight:
    """What is gained, in logarithmic likelihood, by what other parts of a run foretell.

    Parameters
    ----------
    parts : tuple of float
        In each part.
    start : float
        Around the run's zero.
    start_due : float
        What would be gained there if what is foretold came exactly so.
    shared : float
        In the rows asked for.
    """

    parts: tuple[float, ...]
    start: float
    start_due: float
    shared: float

    @property
    def total(self) -> float:
        """All parts together."""
        return sum(self.parts)

    @property
    def rest(self) -> float:
        """All parts but the one that gains most."""
        return self.total - max(self.parts, default=0.0)


@dataclass(frozen=True, slots=True)
class Fine:
    """Where a template's row 0 lies in the sound, in rows, and within how many rows (95 %)."""

    row: float
    within: float


def cut_rows(template: Template) -> tuple[int, ...]:
    """Return the rows at which a run is cut: as much happens in each part, at the cuts nothing."""
    strength = template.parts**2
    happens = np.sum(strength / np.maximum(strength.mean(axis=0), 1e-12), axis=1)
    before = np.cumsum(happens) / max(float(happens.sum()), 1e-12)
    near = np.convolve(happens, np.hanning(_QUIET_ROWS), "same")
    near *= 0.5 / max(float(near.max()), 1e-12)
    cuts: list[int] = []
    first = _LEAST_ROWS
    for part in range(1, _PARTS):
        cost = (np.abs(before - part / _PARTS) + near)[first : len(before) - _LEAST_ROWS]
        if len(cost):
            cuts.append(first + int(np.argmin(cost)))
            first = cuts[-1] + _LEAST_ROWS
    return tuple(cuts)


def weigh(
    sound: Sound,
    template: Template,
    place: int,
    cuts: tuple[int, ...],
    *,
    shared: tuple[int, int] | None = None,
) -> Weight:
    """Weigh a place.

    Parameters
    ----------
    sound, template
        What was heard, and what is looked for.
    place : int
        The row of the sound at which row 0 of the template lies.
    cuts : tuple of int
        From `cut_rows`.
    shared : (int, int), optional
        First and last row, exclusive, of the sound, for `Weight.shared`; all by default.
    """
    x, parts, use, rows = _laid(sound, template, place)
    stiffness = _RIDGE * template.strength
    number = np.searchsorted(np.array(cuts), rows, side="right")
    gain, due = np.zeros(len(rows)), np.zeros(len(rows))
    gains: list[float] = []
    for part in range(len(cuts) + 1):
        told, learnt = use & (number == part), use & (number != part)
        if min(told.sum(), learnt.sum()) >= _LEAST_ROWS:
            gain[told], due[told] = _foretold(x, parts, learnt, told, stiffness)
        gains.append(float(gain[told].sum()))
    run_s = (rows + template.first_row) / ROWS_PER_S
    start = (run_s > _START_S[0]) & (run_s < _START_S[1])
    return Weight(
        tuple(gains),
        float(gain[start].sum()),
        float(due[start].sum()),
        float(gain.sum() if shared is None else gain[_inside(rows + place, shared)].sum()),
    )


def _inside(rows: NDArray[np.int64], shared: tuple[int, int]) -> Flags:
    return (rows >= shared[0]) & (rows < shared[1])


def _laid(
    sound: Sound, template: Template, place: int
) -> tuple[FloatArray, FloatArray, Flags, NDArray[np.int64]]:
    begin, end = max(0, place), min(len(sound.rows), place + len(template.parts))
    x = sound.rows[begin:end]
    own = slice(begin - place, end - place)
    use = sound.whole[begin:end] & template.whole[own]
    return x, template.parts[own], use, np.arange(begin - place, end - place)


def _fit(x: FloatArray, parts: FloatArray, stiffness: float) -> FloatArray:
    own = parts - parts.mean(axis=0)
    square = own.T @ own + stiffness * np.eye(own.shape[1])
    return np.asarray(np.linalg.solve(square, own.T @ (x - x.mean(axis=0))))


def _foretold(
    x: FloatArray, parts: FloatArray, learnt: Flags, told: Flags, stiffness: float
) -> tuple[FloatArray, FloatArray]:
    """Return what each row that is told gains, and what it would gain if it came exactly so."""
    follows = _fit(x[learnt], parts[learnt], stiffness)
    plain = x[told] - x[told].mean(axis=0)
    due = (parts[told] - parts[told].mean(axis=0)) @ follows
    gain = np.sum(_loss(plain) - _loss(plain - due), axis=1)
    return gain, 0.5 * np.sum(due**2, axis=1)


def _loss(error: FloatArray) -> FloatArray:
    return np.asarray(0.5 * (_FREEDOM + 1) * np.log1p(error**2 / _FREEDOM))


def fine_place(sound: Sound, template: Template, place: int) -> Fine:
    """Find a place to a fraction of a row, and how sure that is.

    The gain is added up from stretches of time and bands; drawn again with random weights (a
    Bayesian bootstrap, Rubin 1981), its peak moves as it would in another take of the same run.
    """
    stiffness = 0.1 * _RIDGE * template.strength
    tried = range(place - _SEARCH, place + _SEARCH + 1)
    cells = np.stack([_cells(sound, template, at, stiffness) for at in tried])
    curve = cells.sum(axis=1)
    row = place - _SEARCH + _peak(curve)
    draws = np.random.default_rng(_SEED)
    weights = draws.exponential(size=(_DRAWS, cells.shape[1]))
    moved = [_peak(cells @ weight) + place - _SEARCH - row for weight in weights]
    return Fine(row, float(np.quantile(np.abs(moved), 0.95)))


def _cells(sound: Sound, template: Template, place: int, stiffness: float) -> FloatArray:
    """Return the gain of each stretch of time in each band, at one place."""
    x, parts, use, rows = _laid(sound, template, place)
    gain = np.zeros(x.shape)
    if use.sum() >= _LEAST_ROWS:
        follows = _fit(x[use], parts[use], stiffness)
        plain = x[use] - x[use].mean(axis=0)
        rest = plain - (parts[use] - parts[use].mean(axis=0)) @ follows
        gain[use] = _loss(plain) - _loss(rest)
    stretch = np.minimum(rows * _BLOCKS // len(template.parts), _BLOCKS - 1)
    added = np.zeros((_BLOCKS, x.shape[1]))
    np.add.at(added, stretch, gain)
    return added.ravel()


def _peak(curve: FloatArray) -> float:
    """Return where a curve is highest, by the parabola through its three highest neighbours."""
    top = int(np.argmax(curve))
    if not 0 < top < len(curve) - 1:
        return float(top)
    left, mid, right = curve[top - 1 : top + 2]
    bend = left - 2 * mid + right
    return top + (0.5 * (left - right) / bend if bend < 0 else 0.0)
