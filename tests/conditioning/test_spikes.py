from __future__ import annotations

import numpy as np

from overlays.conditioning.spikes import without_spikes


def test_spikes_are_replaced_and_counted() -> None:
    """Spikes give way to the straight line between their neighbours."""
    chance = np.random.default_rng(0)
    clean = np.sin(np.arange(500) / 50) + chance.normal(0, 0.01, 500)
    spiked = clean.copy()
    spiked[[100, 250, 251]] += [3.0, -4.0, -4.0]
    fixed, count = without_spikes(spiked, 15, 6.0)
    assert count == 3
    np.testing.assert_allclose(fixed, clean, atol=0.08)
    others = np.delete(np.arange(500), [100, 250, 251])
    np.testing.assert_array_equal(fixed[others], clean[others])


def test_clean_traces_are_left_alone() -> None:
    """Noise, edges and the finest step of a coarse sensor are no spikes."""
    chance = np.random.default_rng(1)
    noise = chance.normal(0, 1, 1000)
    assert without_spikes(noise, 31, 6.0)[1] == 0
    edge = np.concatenate([np.zeros(50), np.full(50, 10.0)])
    assert without_spikes(edge, 9, 6.0)[1] == 0
    coarse = np.round(20 + np.arange(200) / 150, 1)
    assert without_spikes(coarse, 15, 6.0)[1] == 0


def test_too_little_to_judge() -> None:
    """Two samples, or a window of one, say nothing."""
    assert without_spikes(np.array([0.0, 100.0]), 5, 6.0)[1] == 0
    assert without_spikes(np.array([0.0, 100, 0]), 1, 6.0)[1] == 0
