"""Invented benches: traces of runs, the sound they make, and the room they stand in."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.signal import butter, sosfilt

from overlays.model.trace import FloatArray, Trace

__all__ = ["HZ", "bangs", "room", "run_sound", "talk", "trace_of", "with_run"]

HZ = 16000
LENGTHS_S = {"stop": 6.0, "steps": 8.0, "spin": 7.0}


def trace_of(what: str, rng: np.random.Generator) -> tuple[Trace, float]:
    """Return a run's trace, logged at 500 Hz from a second before its zero, and its length.

    ``"stop"`` comes up fast, fades and lets go; ``"steps"`` is a flow set in steps of uneven
    length; ``"spin"`` runs up, holds, wavers and runs down.
    """
    length_s = LENGTHS_S[what]
    time_s = np.arange(-1.0, length_s + 1.0, 0.002)
    if what == "stop":
        rise = 1 - np.exp(-np.maximum(time_s, 0) / rng.uniform(0.05, 0.2))
        values = rise * (1 - rng.uniform(0.1, 0.4) * np.clip(time_s / length_s, 0, 1) ** 2)
        values *= np.where(time_s > length_s, np.exp(-(time_s - length_s) / 0.06), 1)
    elif what == "steps":
        edges = np.concatenate(([0.0], np.sort(rng.uniform(0.6, length_s - 0.3, 5)), [length_s]))
        levels = np.concatenate(([0.0], rng.permutation([0.3, 0.55, 0.7, 0.85, 1.0, 0.45]), [0.0]))
        values = levels[np.searchsorted(edges, time_s, side="right")]
    else:
        up, down = rng.uniform(0.15, 0.5), rng.uniform(0.2, 0.6)
        values = np.clip(time_s / up, 0, 1) * np.clip((length_s - time_s) / down, 0, 1)
        values *= 1 + 0.08 * np.sin(2 * np.pi * rng.uniform(0.6, 1.4) * time_s)
    smooth = np.hanning(15)
    values = np.convolve(values, smooth / smooth.sum(), "same")
    values = 60 * values + 0.1 * rng.standard_normal(len(values))
    return Trace("level", "N*m", time_s, values), length_s


def run_sound(trace: Trace, how: str, rng: np.random.Generator) -> FloatArray:
    """Return the sound of a run: louder, or higher in pitch, as the trace goes."""
    count = int((trace.time_s[-1] - trace.time_s[0]) * HZ)
    time_s = trace.time_s[0] + np.arange(count) / HZ
    share = np.clip(np.interp(time_s, trace.time_s, trace.values) / 60, 0, 1.2)
    sound = np.zeros(count)
    if "loud" in how:
        low = rng.uniform(200, 1200)
        rush = sosfilt(
            butter(2, [low, low * rng.uniform(1.6, 4)], "band", fs=HZ, output="sos"),
            rng.standard_normal(count),
        )
        sound += rush / rush.std() * share ** rng.uniform(0.7, 1.4)
    if "pitch" in how:
        pitch = rng.uniform(150, 500) * (1 + rng.uniform(0.6, 1.8) * share)
        turns = 2 * np.pi * np.cumsum(pitch) / HZ
        tone = sum(np.sin(k * turns) / k for k in range(1, 6))
        # The motor is switched on and off well outside the run.
        sound += tone * np.clip(np.minimum(np.arange(count), np.arange(count)[::-1]) / 800, 0, 1)
    return np.asarray(sound / sound.std())


def room(seconds: float, rng: np.random.Generator) -> FloatArray:
    """Return the noise of a room, stronger towards low frequencies, with the hum of the mains."""
    count = int(seconds * HZ)
    hz = np.fft.rfftfreq(count, 1 / HZ)
    noise = np.fft.irfft(
        np.fft.rfft(rng.standard_normal(count)) / np.sqrt(np.maximum(hz, 20)), count
    )
    hum = rng.uniform(0, 0.5) * np.sin(2 * np.pi * 50 * np.arange(count) / HZ)
    return np.asarray(noise / noise.std() + hum)


def talk(count: int, rng: np.random.Generator) -> FloatArray:
    """Return syllables of a voice, none of them in any language."""
    sound = np.zeros(count)
    at = 0
    while True:
        at += int(rng.exponential(0.25) * HZ)
        length = int(rng.uniform(0.08, 0.3) * HZ)
        if at + length > count:
            break
        pitch, colour = rng.uniform(90, 180), rng.uniform(400, 2200)
        time_s = np.arange(length) / HZ
        for k in range(1, 20):
            strength = np.exp(-(((k * pitch - colour) / 500) ** 2))
            sound[at : at + length] += strength * np.sin(2 * np.pi * k * pitch * time_s)
        sound[at : at + length] *= np.hanning(length) * rng.uniform(0.5, 1.5)
        at += length
    return sound / max(float(sound.std()), 1e-9)


def bangs(count: int, rng: np.random.Generator, number: int) -> FloatArray:
    """Return things that fall down, at places and of strengths left to chance."""
    sound = np.zeros(count)
    for _ in range(number):
        at, length = int(rng.integers(count - HZ // 2)), HZ // 2
        fall = np.exp(-np.arange(length) / (HZ * rng.uniform(0.01, 0.08)))
        sound[at : at + length] += rng.standard_normal(length) * fall * rng.uniform(1, 6)
    return sound


def with_run(
    sound: FloatArray, made: FloatArray, trace: Trace, zero_s: float
) -> tuple[NDArray[np.float64], float]:
    """Add a run's sound so that its zero lies at a time; return it and that time to the sample."""
    at = round((zero_s + trace.time_s[0]) * HZ)
    together = sound.copy()
    together[at : at + len(made)] += made
    return together, at / HZ - float(trace.time_s[0])
