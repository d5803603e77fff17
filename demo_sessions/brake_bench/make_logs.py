"""Write the logs of the brake bench: four invented pads, three tests, three repeats.

``python make_logs.py`` writes the 36 files of ``logs/`` again, byte for byte; another folder may
be named behind it. Everything here is invented: no pad of this name exists, and no number comes
from a measurement. The size of the numbers is that of a hand-operated 180 mm disc brake: clamp
forces around 900 N, a friction coefficient near 0.4 and so tens of newton metres.

The model, all of it textbook mechanics:

* torque = 2 x friction x clamp force x effective radius (two pads on one rotor);
* the flywheel slows by torque / inertia, or a motor holds its speed in the drag;
* the rotor takes up the work of friction as heat and loses some to the air;
* friction first rises a little with heat, then fades;
* a film of water takes part of the friction away and is worked off by the sliding.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from math import exp
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

SEED = 20260314
RATE_HZ = 500
MODEL_HZ = 100  # heat, speed and water change slowly; ripple and noise are added at RATE_HZ
BEFORE_S = 1.0
AFTER_S = 1.0
REPEATS = 3

RADIUS_M = 0.083
INERTIA_KG_M2 = 12.5
ROTOR_J_PER_K = 62.0
COOLING_W_PER_K = 1.6
HEAT_SHARE = 0.92  # the pads keep the rest
AIR_C = 21.0

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Pad:
    """How one pad behaves.

    Parameters
    ----------
    friction : float
        Coefficient on a cold, dry rotor.
    warm_gain, warm_c : float
        Share gained by warming, and the temperature rise in K over which most of it comes.
    fade, fade_c, fade_width_c : float
        Share lost to heat, the temperature in °C where half of it is gone, and how sharply.
    bite_s : float
        Time constant of the pad settling against the rotor.
    wet_loss : float
        Share lost under a full film of water.
    dry_per_s, dry_per_kj : float
        How fast the film goes by itself, and with the work of sliding.
    judder : float
        Stick-slip ripple as a share of the torque.
    """

    friction: float
    warm_gain: float
    warm_c: float
    fade: float
    fade_c: float
    fade_width_c: float
    bite_s: float
    wet_loss: float
    dry_per_s: float
    dry_per_kj: float
    judder: float


@dataclass(frozen=True, slots=True)
class Procedure:
    """One test: its length, clamp force, starting speed, and whether a motor holds the speed."""

    length_s: float
    clamp_n: float
    speed_rad_s: float
    driven: bool
    wet: bool


@dataclass(frozen=True, slots=True)
class Fault:
    """What went wrong in a run: grip lost from the start, or clamp force lost at a time."""

    grip: float = 1.0
    slip_s: float | None = None


PADS = {
    "alder": Pad(0.448, 0.03, 30, 0.40, 168, 17, 0.10, 0.66, 0.14, 0.26, 0.020),
    "basalt": Pad(0.345, 0.28, 45, 0.03, 260, 25, 0.16, 0.38, 0.40, 0.34, 0.034),
    "cobble": Pad(0.392, 0.04, 50, 0.16, 205, 20, 0.20, 0.84, 0.02, 0.41, 0.024),
    "dune": Pad(0.330, 0.05, 60, 0.08, 230, 25, 0.13, 0.15, 0.40, 0.40, 0.012),
}
TESTS = {
    "cold": Procedure(6.0, 950.0, 40.0, driven=False, wet=False),
    "wet": Procedure(8.0, 950.0, 40.0, driven=False, wet=True),
    "drag": Procedure(30.0, 430.0, 22.0, driven=True, wet=False),
}
FAULTS = {
    ("cobble", "cold", 2): Fault(grip=0.77),
    ("dune", "wet", 3): Fault(slip_s=3.1),
}


def friction(pad: Pad, rotor_c: float, film: float) -> float:
    """Return the coefficient at a rotor temperature in °C and a film of water from 0 to 1."""
    warm = pad.warm_gain * (1 - exp(-max(rotor_c - AIR_C, 0.0) / pad.warm_c))
    faded = pad.fade / (1 + exp((pad.fade_c - rotor_c) / pad.fade_width_c))
    return pad.friction * (1 + warm) * (1 - faded) * (1 - pad.wet_loss * film)


def clamp(pad: Pad, test: Procedure, fault: Fault, time_s: float) -> float:
    """Return the clamp force in newtons: the lever comes on, the pad settles, the bench lets go."""
    if time_s < 0:
        return 0.0
    lever = min(time_s / 0.12, 1.0)
    force = test.clamp_n * lever * (1 - exp(-time_s / pad.bite_s))
    if fault.slip_s is not None and time_s > fault.slip_s:
        force *= 0.30 + 0.70 * exp(-(time_s - fault.slip_s) / 0.20)
    let_go_s = test.length_s + 0.25
    return force * exp(-(time_s - let_go_s) / 0.06) if time_s > let_go_s else force


def simulate(
    pad: Pad,
    test: Procedure,
    fault: Fault,
    *,
    grip: float,
    rotor_c: float,
    time_s: FloatArray,
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Step the bench through a run.

    Returns
    -------
    torque, rotor, speed : ndarray of shape (N,)
        In N·m, °C and rad/s, at each of `time_s`.
    """
    film = 1.0 if test.wet else 0.0
    speed = test.speed_rad_s
    step_s = 1 / MODEL_HZ
    rows = np.empty((3, time_s.size))
    for i, now_s in enumerate(time_s):
        force_n = 2 * friction(pad, rotor_c, film) * clamp(pad, test, fault, float(now_s))
        torque = grip * fault.grip * force_n * RADIUS_M
        rows[:, i] = torque, rotor_c, speed
        power_w = torque * speed
        # Water on the rotor carries most of the heat away until it is gone.
        into_rotor_w = HEAT_SHARE * power_w * (1 - 0.7 * film)
        rotor_c += (into_rotor_w - COOLING_W_PER_K * (rotor_c - AIR_C)) / ROTOR_J_PER_K * step_s
        if torque > 0:
            film *= exp(-(pad.dry_per_s + pad.dry_per_kj * power_w / 1000) * step_s)
        if not test.driven:
            speed = max(speed - torque / INERTIA_KG_M2 * step_s, 0.0)
    return rows[0], rows[1], rows[2]


def follow(values: FloatArray, lag_s: float, rate_hz: float) -> FloatArray:
    """Return what a sensor with a first-order lag makes of evenly spaced values."""
    share = 1 - exp(-1 / (rate_hz * lag_s))
    out = np.empty_like(values)
    seen = values[0]
    for i, value in enumerate(values):
        seen += share * (value - seen)
        out[i] = seen
    return out


def run_log(pad: Pad, test: Procedure, fault: Fault, rng: np.random.Generator) -> FloatArray:
    """Make one log: an array of shape (N, 3) of time in s, torque in N·m and rotor in °C."""
    starts_s = BEFORE_S + rng.uniform(-0.12, 0.12)
    count = round((BEFORE_S + test.length_s + AFTER_S) * RATE_HZ)
    clock_s = np.arange(count) / RATE_HZ
    model_s = np.arange(0, clock_s[-1] + 2 / MODEL_HZ, 1 / MODEL_HZ) - starts_s
    grip = 1 + 0.012 * rng.standard_normal()
    rotor_c = AIR_C + rng.uniform(0.5, 3.0)
    torque, rotor, speed = simulate(pad, test, fault, grip=grip, rotor_c=rotor_c, time_s=model_s)
    rotor = follow(rotor, 0.25, MODEL_HZ)

    time_s = clock_s - starts_s
    torque, rotor, speed = (np.interp(time_s, model_s, row) for row in (torque, rotor, speed))
    turns = np.cumsum(speed) / RATE_HZ / (2 * np.pi) + rng.uniform()
    # The rotor is never quite true: one ripple a turn. Stick-slip is a sawtooth near 40 Hz.
    untrue = 0.009 * np.sin(2 * np.pi * turns) + 0.004 * np.sin(4 * np.pi * turns + 1.0)
    slip_hz = 40 + 3 * np.sin(2 * np.pi * 0.3 * clock_s)
    judder = pad.judder * (2 * ((np.cumsum(slip_hz) / RATE_HZ) % 1.0) - 1)
    wander = follow(rng.standard_normal(count), 0.25, RATE_HZ) * 0.14
    offset = rng.uniform(-0.6, 0.6)
    torque = torque * (1 + untrue + judder + wander) + offset + 0.12 * rng.standard_normal(count)
    rotor = rotor + 0.12 * rng.standard_normal(count)
    return np.column_stack((clock_s, torque, rotor))


def text(log: FloatArray, number: int, repeat: int) -> str:
    """Write a log as the bench's logger would: preamble, header, unit row, samples."""
    head = (
        f"bench logger, run {number:03}\n"
        f"repeat: {repeat} of {REPEATS}\n"
        f"rate: {RATE_HZ} Hz\n"
        "\n"
        "time,torque,rotor\n"
        "s,N*m,degC\n"
    )
    return head + "".join(f"{t:.3f},{m:.3f},{c:.1f}\n" for t, m, c in log.tolist())


def main(folder: Path) -> None:
    """Write every log into `folder`."""
    folder.mkdir(parents=True, exist_ok=True)
    number = 0
    for test_key, test in TESTS.items():
        for pad_key, pad in PADS.items():
            for repeat in range(1, REPEATS + 1):
                number += 1
                rng = np.random.default_rng([SEED, number])
                fault = FAULTS.get((pad_key, test_key, repeat), Fault())
                written = text(run_log(pad, test, fault, rng), number, repeat)
                target = folder / f"{pad_key}_{test_key}_{repeat}.csv"
                target.write_text(written, encoding="utf-8", newline="\n")
    print(f"{number} logs in {folder}")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent / "logs")
