"""How fast each overlay kind is drawn, on one core: layout apart from the frames.

Run it as ``python tests/benchmarks/kinds.py --json FILE``. It draws the gallery's example of every
kind at 1920x1080, from the first frame to the last as `Canvas` does for a render, and prints a
table: frames a second over the whole cue, over its movement alone (frames in which something
changed), and the slowest frame. ``FILE`` gets ``{KIND: {"fps": …, "moving_fps": …}}``.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
import time
from collections.abc import Mapping
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

LEAST_FPS = 60


def measure(style: str, size: tuple[int, int]) -> dict[str, dict[str, float]]:
    """Time every kind; times in seconds, rates in frames/s."""
    from overlays.draw.canvas import Canvas
    from overlays.turnover.gallery import sample, specimens

    found: dict[str, dict[str, float]] = {}
    for specimen in specimens(sample(), styles=[style], shapes=[size]):
        start = time.perf_counter()
        scene = specimen.lay_out()
        layout_s = time.perf_counter() - start
        canvas = Canvas(scene)
        times, moved = [], []
        for frame in range(scene.frames):
            start = time.perf_counter()
            changed = canvas.draw(frame)
            times.append(time.perf_counter() - start)
            if changed:
                moved.append(times[-1])
        found[specimen.kind] = {
            "frames": len(times),
            "layout_s": layout_s,
            "fps": len(times) / sum(times),
            "moving_fps": len(moved) / sum(moved),
            "slowest_ms": 1000 * max(times),
        }
    return found


def unmeasured(found: Mapping[str, object]) -> list[str]:
    """Return the kinds that are discovered and were not measured."""
    from overlays.kinds.registry import kinds

    return sorted(set(kinds()) - set(found))


def write(line: str) -> None:
    """Print a line."""
    sys.stdout.write(f"{line}\n")


def main() -> int:
    """Print the table; 1 where a kind is slower than it may be."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--json", type=Path, help="where to write the numbers")
    parser.add_argument("--style", default="rule")
    parser.add_argument("--size", type=int, nargs=2, default=(1920, 1080))
    options = parser.parse_args()
    if hasattr(os, "sched_setaffinity"):
        os.sched_setaffinity(0, {min(os.sched_getaffinity(0))})
    found = measure(options.style, tuple(options.size))
    write(
        f"{'kind':<14} {'frames':>6} {'layout s':>9} {'frames/s':>9} {'moving':>8} {'worst ms':>9}"
    )
    for kind, row in found.items():
        write(
            f"{kind:<14} {row['frames']:>6.0f} {row['layout_s']:>9.2f} {row['fps']:>9.0f} "
            f"{row['moving_fps']:>8.0f} {row['slowest_ms']:>9.1f}"
        )
    if options.json:
        options.json.write_text(json.dumps(found, indent=1), encoding="utf-8")
    slow = [kind for kind, row in found.items() if row["moving_fps"] < LEAST_FPS]
    write(f"slower than {LEAST_FPS} frames/s: {', '.join(slow) or 'none'}")
    missing = unmeasured(found)
    write(f"not measured, for want of an example: {', '.join(missing) or 'none'}")
    return 1 if slow or missing else 0


if __name__ == "__main__":
    sys.exit(main())
