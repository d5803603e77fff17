"""Measures the reading of a large clean log against pandas' own fastest read of the same file.

::

    python tests/benchmarks/reading.py [--rows 2500000] [--rounds 10] [--json FILE]

Each reader runs in a process of its own, so that one's memory is not another's; they take turns.
Printed are the best and the median wall time of the rounds, the ratio of ours to pandas' fastest,
and the peak of memory in the first round over what the process held before, as a multiple of the
numeric data.
"""

from __future__ import annotations

import argparse
import json
import multiprocessing
import statistics
import sys
import tempfile
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np

COLUMNS = 4
READERS = ("ours", "pandas c", "pandas pyarrow")


def write_log(path: Path, rows: int) -> None:
    """Write a clean log: a time column and three channels, with a decimal point."""
    chance = np.random.default_rng(1)
    with path.open("w", encoding="utf-8", newline="") as stream:
        stream.write("time_s,torque,force,temperature\n")
        for start in range(0, rows, 100_000):
            n = min(100_000, rows - start)
            table = np.column_stack(
                [
                    (start + np.arange(n)) * 0.002,
                    chance.normal(50, 5, n),
                    chance.normal(500, 50, n),
                    chance.normal(80, 3, n),
                ]
            )
            np.savetxt(stream, table, fmt="%.3f,%.4f,%.3f,%.2f")


def resident_bytes() -> int:
    """Return what the process holds in memory now (Linux; elsewhere 0)."""
    try:
        pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1])
    except OSError:
        return 0
    return pages * 4096


def reader(name: str, path: Path) -> Callable[[], Any]:
    """Return what reads the file, with everything imported that it needs."""
    if name == "ours":
        import pyarrow.csv

        from overlays.logs.reader import read_log

        del pyarrow
        return lambda: read_log(path, file=path.name)
    import pandas as pd

    if name == "pandas c":
        return lambda: pd.read_csv(path, engine="c")
    return lambda: pd.read_csv(path, engine="pyarrow")


def measure(name: str, path: Path, hear: Any) -> None:
    """Read once for each round asked for, and send the time and the peak of memory of each."""
    read = reader(name, path)
    held, peak, done = resident_bytes(), 0, threading.Event()

    def watch() -> None:
        nonlocal peak
        while not done.wait(0.002):
            peak = max(peak, resident_bytes())

    watcher = threading.Thread(target=watch)
    watcher.start()
    while hear.recv():
        start = time.perf_counter()
        found = read()
        seconds = time.perf_counter() - start
        peak = max(peak, resident_bytes())
        del found
        hear.send((seconds, max(0, peak - held)))
        done.set()  # later rounds reuse what the first one freed, so its peak is what counts
    done.set()
    watcher.join()


def run(rows: int, rounds: int) -> dict[str, Any]:
    """Measure all readers on a log of that many rows, in turn, so that none has the quiet time."""
    numeric = rows * COLUMNS * 8
    result: dict[str, Any] = {"samples": rows * COLUMNS, "numeric_mb": numeric / 1e6}
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "log.csv"
        write_log(path, rows)
        context = multiprocessing.get_context("spawn")
        asked, processes = {}, []
        for name in READERS:
            asked[name], hear = context.Pipe()
            processes.append(context.Process(target=measure, args=(name, path, hear)))
            processes[-1].start()
        told: dict[str, list[tuple[float, int]]] = {name: [] for name in READERS}
        for _ in range(rounds):
            for name in READERS:
                asked[name].send(True)
                told[name].append(asked[name].recv())
        for name, process in zip(READERS, processes, strict=True):
            asked[name].send(False)
            process.join()
            seconds = [seconds for seconds, _ in told[name]]
            result[name] = {
                "best_s": min(seconds),
                "median_s": statistics.median(seconds),
                "memory_times": told[name][0][1] / numeric,
            }
    for which in ("best_s", "median_s"):
        fastest = min(result[name][which] for name in READERS[1:])
        result[f"vs_pandas_{which}"] = result["ours"][which] / fastest
    result["memory_times"] = result["ours"]["memory_times"]
    return result


def main() -> None:
    """Measure, print a table, and write the JSON if asked to."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rows", type=int, default=2_500_000)
    parser.add_argument("--rounds", type=int, default=10)
    parser.add_argument("--json", type=Path)
    options = parser.parse_args()
    result = run(options.rows, options.rounds)
    lines = [f"{result['samples']:,} samples, {result['numeric_mb']:.0f} MB of numbers"]
    lines += [
        f"{name:16} best {result[name]['best_s']:.3f} s, median {result[name]['median_s']:.3f} s, "
        f"{result[name]['memory_times']:.2f} x data"
        for name in READERS
    ]
    lines.append(
        f"ours / pandas' fastest: {result['vs_pandas_median_s']:.2f} by the medians, "
        f"{result['vs_pandas_best_s']:.2f} by the best  (wanted: <= 1.5)"
    )
    lines.append(f"memory / data: {result['memory_times']:.2f}  (wanted: < 3)")
    sys.stdout.write("\n".join(lines) + "\n")
    if options.json:
        options.json.write_text(json.dumps(result, indent=2), encoding="utf-8")


if __name__ == "__main__":
    # Run as a file, Python looks for modules beside it, not in the checkout.
    sys.path.insert(0, str(Path(__file__).parents[2]))
    main()
