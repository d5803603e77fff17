"""Write the logs of a second, tiny session: two invented garden-hose nozzles on a tap.

``python make_logs.py [FOLDER]`` writes the eight files of ``logs/`` again, byte for byte. Nothing
here was measured. The logger writes semicolons and decimal commas, and pressure in bar, which the
session shows in kPa. In *open* the tap is opened and the flow settles; in *shut* the trigger is
squeezed shut and the column of water in the hose rings (a damped oscillation).
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

SEED = 41
RATE_HZ = 200
LENGTH_S = 5.0
OPENS_S = 0.8

FloatArray = NDArray[np.float64]

# Settled flow in l/min, time constant of opening in s, ring after shutting in bar.
NOZZLES = {"brook": (14.2, 0.35, 2.1), "weir": (10.6, 0.12, 0.8)}


def opened(flow: float, opens_s: float, time_s: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return flow in l/min and pressure in bar, the tap opened at 0 s."""
    on = np.where(time_s > 0, 1 - np.exp(-np.maximum(time_s, 0) / opens_s), 0.0)
    return flow * on, 4.0 - 1.3 * on**2


def shut(flow: float, ring: float, time_s: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return flow in l/min and pressure in bar, the nozzle shut at 0 s."""
    after_s = np.maximum(time_s, 0)
    off = np.exp(-after_s / 0.03)
    wave = np.exp(-after_s / 0.5) * np.sin(2 * np.pi * 2.5 * after_s)
    return flow * off, 2.7 + 1.3 * (1 - off) + ring * wave


def text(flow: FloatArray, pressure: FloatArray) -> str:
    """Write a log with units in the header, semicolons and decimal commas."""
    rows = [
        f"{i / RATE_HZ:.3f};{f:.2f};{p:.3f}\n".replace(".", ",")
        for i, (f, p) in enumerate(zip(flow.tolist(), pressure.tolist(), strict=True))
    ]
    return "hose logger\nDate;2026-04-02\n\ntime [s];flow [l/min];pressure [bar]\n" + "".join(rows)


def main(folder: Path) -> None:
    """Write every log into `folder`."""
    folder.mkdir(parents=True, exist_ok=True)
    clock_s = np.arange(round(LENGTH_S * RATE_HZ)) / RATE_HZ
    number = 0
    for name, (flow, opens_s, ring) in NOZZLES.items():
        for test in ("open", "shut"):
            for repeat in (1, 2):
                number += 1
                rng = np.random.default_rng([SEED, number])
                time_s = clock_s - OPENS_S - rng.uniform(-0.1, 0.1)
                tap = 1 + 0.02 * rng.standard_normal()
                if test == "open":
                    rows = opened(flow * tap, opens_s, time_s)
                else:
                    rows = shut(flow * tap, ring * tap, time_s)
                flows = rows[0] + 0.05 * rng.standard_normal(clock_s.size) + 0.1
                pressures = rows[1] + 0.004 * rng.standard_normal(clock_s.size)
                target = folder / f"{name}_{test}_{repeat}.csv"
                target.write_text(text(flows, pressures), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent / "logs")
