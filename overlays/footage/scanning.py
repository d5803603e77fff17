"""Every place a run could lie at: how much of the sound its trace would explain there.

At each place the levels of every band are fitted, by least squares, by the parts of the trace
(`overlays.footage.shape`) and a constant. What the fit explains is told as a gain in logarithmic
likelihood, ``-n/2 log(1 - R²)`` added up over bands. All places at once are a handful of
correlations, done by Fourier transforms.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.fft import irfft, next_fast_len, rfft

from overlays.footage.shape import Shape
from overlays.footage.whiten import Flags, Sound, new_in
from overlays.model.trace import FloatArray

__all__ = ["Template", "candidates", "scan", "template_of"]

_BLOCK = 1 << 16  # places worked on at once; bounds the memory
_LEAST_SHARE = 0.6  # of the run that the footage must hold
_RIDGE = 1e-3


@dataclass(frozen=True, slots=True, eq=False)
class Template:
    """A run's shape after the sound's own filter.

    Parameters
    ----------
    first_row : int
        Row 0 stands at ``first_row / ROWS_PER_S`` seconds of the run.
    parts : ndarray of shape (N, K)
        0 where `whole` is False.
    whole : ndarray of shape (N,), bool
        Whether a row and its past are there.
    """

    first_row: int
    parts: FloatArray
    whole: Flags

    @property
    def strength(self) -> float:
        """How much the strongest part changes, added up over rows."""
        return max(float(np.max(np.sum(self.parts**2, axis=0))), 1e-9)


def template_of(shape: Shape, sound: Sound) -> Template:
    """Pass a run's shape through a sound's filter."""
    parts, whole = new_in(shape.parts, shape.there, sound.taps)
    return Template(shape.first_row, parts, whole)


def scan(sound: Sound, template: Template) -> tuple[NDArray[np.int64], FloatArray]:
    """Work out the gain at every place.

    Returns
    -------
    places : ndarray of shape (P,), int
        The row of the sound at which row 0 of the template lies.
    gains : ndarray of shape (P,)
        0 where less than 60 % of the run, or of what is told of it, is in the footage.
    """
    length = len(template.parts)
    places = np.arange(1 - length, len(sound.rows))
    gains = np.zeros(len(places))
    for first in range(0, len(places), _BLOCK):
        block = places[first : first + _BLOCK]
        gains[first : first + len(block)] = _block(sound, template, int(block[0]), len(block))
    return places, gains


def _block(sound: Sound, template: Template, first: int, count: int) -> FloatArray:
    length = len(template.parts)
    begin, end = max(0, first), min(len(sound.rows), first + count + length)
    size = next_fast_len(count + 2 * length, real=True)
    x = np.zeros((count + length, sound.rows.shape[1]))
    x[begin - first : end - first] = sound.rows[begin:end]
    there = np.zeros(count + length)
    there[begin - first : end - first] = sound.whole[begin:end]
    parts = np.column_stack([template.parts, template.whole])

    def slid(kept: FloatArray, over: FloatArray) -> FloatArray:
        """Correlate columns of the template with columns of the sound, at each place."""
        spectra = rfft(kept, size, axis=0).conj() * rfft(over, size, axis=0)
        return np.asarray(irfft(spectra, size, axis=0)[:count])

    k = parts.shape[1]
    crossed = np.stack([slid(parts[:, [j]], x) for j in range(k)], axis=1)
    pairs = [(i, j) for i in range(k) for j in range(i, k)]
    products = np.stack([parts[:, i] * parts[:, j] for i, j in pairs], axis=1)
    moments = slid(products, there[:, None])
    gram = np.empty((count, k, k))
    for (i, j), column in zip(pairs, moments.T, strict=True):
        gram[:, i, j] = gram[:, j, i] = column
    power = slid(parts[:, [-1]], x**2)
    return _gains(crossed, gram, power, np.diag(parts.T @ parts), template.strength)


def _gains(
    crossed: FloatArray, gram: FloatArray, power: FloatArray, whole: FloatArray, strength: float
) -> FloatArray:
    """Fit at each place: `crossed` (P, K, B), `gram` (P, K, K), `power` (P, B), `whole` (K,)."""
    own = np.diagonal(gram, axis1=1, axis2=2) / np.maximum(whole, 1e-12)
    held = (own[:, -1] >= _LEAST_SHARE) & (own[:, :-1].mean(axis=1) >= _LEAST_SHARE)
    gains = np.zeros(len(gram))
    if not held.any():
        return gains
    crossed, gram, power = crossed[held], gram[held], power[held]
    count = gram[:, -1, -1][:, None]
    constant = crossed[:, -1] ** 2 / count
    stiff = gram + _RIDGE * strength * np.eye(gram.shape[1])
    explained = np.sum(np.linalg.solve(stiff, crossed) * crossed, axis=1) - constant
    share = np.clip(explained / np.maximum(power - constant, 1e-9), 0, 0.999)
    gains[held] = -0.5 * np.sum(count * np.log1p(-share), axis=1)
    return gains


def candidates(places: NDArray[np.int64], gains: FloatArray, *, most: int, apart: int) -> list[int]:
    """Return the places of the highest gains that are peaks, best first, none near a better one."""
    inner = gains[1:-1]
    peaks = np.flatnonzero((inner >= gains[:-2]) & (inner > gains[2:]) & (inner > 0)) + 1
    chosen: list[int] = []
    taken = np.zeros(len(gains) + 2 * apart, bool)
    for peak in peaks[np.argsort(-gains[peaks], kind="stable")]:
        if not taken[peak + apart]:
            chosen.append(int(places[peak]))
            taken[peak : peak + 2 * apart + 1] = True
            if len(chosen) == most:
                break
    return chosen
