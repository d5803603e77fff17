"""How fast overlays are rendered, against plainer ways, and with how much memory.

Run it as ``python tests/benchmarks/rendering.py --json FILE``: it prints a table and writes
``{"vs_plain_plot": …, "vs_fixed_quantiser": …, "vs_default_encoder": …,
"vs_default_encoder_2160": …, "peak_mb_1080": …, "peak_mb_2160": …, "drawn_fps": …,
"encoded_fps": …}`` and a few more. Each ``vs_`` is our wall time divided by theirs, for the same
frames in the same run: 15 s of three curves of 30,000 points with moving values, at 60 frames/s.

Ours is layout, drawing, encoding and writing of every frame. Theirs, but for the plain plot, is
encoding alone, of frames that lie in memory. As they take minutes, they are given every sixth
frame, and their time is multiplied (``--every 1`` gives them all). The plain plot and ours against
it are timed as programs, from their start to their end. Everything runs on one thread but what the
plain plot's FFmpeg starts of its own accord.
"""

from __future__ import annotations

import argparse
import json
import pickle
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from fractions import Fraction
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

SECONDS, POINTS = 15, 30_000
SIZES = {1080: (1920, 1080), 2160: (3840, 2160)}
DEMO = ROOT / "demo_sessions" / "brake_bench"

# ---- what runs in a process of its own: each prints one JSON value ------------------------------


def _plan(folder: str, clip: str, height: str, seconds: str, points: str) -> None:
    from tests.benchmarks.curves_session import plan_curves, write_session

    width = SIZES[int(height)][0]
    session = write_session(
        Path(folder), width=width, height=int(height), seconds=int(seconds), points=int(points)
    )
    Path(clip).write_bytes(pickle.dumps(plan_curves(session)))


def _clip(file: str) -> Any:
    return pickle.loads(Path(file).read_bytes())  # noqa: S301 (written by this program)


def _ours(file: str, target: str) -> dict[str, float]:
    """Render a clip as `clip` does; its time, and the most memory the process ever had."""
    from overlays.render.clips import render_clip

    start = time.perf_counter()
    render_clip(_clip(file), Path(target))
    took = time.perf_counter() - start
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return {"s": took, "peak_mb": peak / (1e6 if sys.platform == "darwin" else 1e3)}


def _stages(file: str, target: str) -> dict[str, float]:
    """Time layout, drawing, encoding and writing apart."""
    from overlays.render.codecs.base import FileSpec
    from overlays.render.codecs.prores4444 import ProRes4444
    from overlays.render.codecs.slices import ChangedSlices
    from overlays.render.frames import clip_frames, lay_out_clip

    clip = _clip(file)
    clock = time.perf_counter
    start = clock()
    scene = lay_out_clip(clip)
    times = {"layout_s": clock() - start, "drawn_s": 0.0, "encoded_s": 0.0, "written_s": 0.0}
    out = ProRes4444()._file(Path(target), FileSpec.of(clip))
    frames = clip_frames(clip, scene)
    start = clock()
    encoder = ChangedSlices(clip.stage.width, clip.stage.height)
    times["encoded_s"] += clock() - start
    while True:
        start = clock()
        frame = next(frames, None)
        drawn = clock()
        packets = encoder.finish() if frame is None else encoder.push(*frame)
        encoded = clock()
        out.put_all(packets)
        times["drawn_s"] += drawn - start
        times["encoded_s"] += encoded - drawn
        times["written_s"] += clock() - encoded
        if frame is None:
            break
    start = clock()
    out.close()
    times["written_s"] += clock() - start
    return times | {"bytes": Path(target).stat().st_size, "frames": clip.frames}


def _encoder(file: str, quantiser: str, every: str) -> float:
    """Time prores_ks over frames that lie in memory as RGBA; quantiser 0 is its own control."""
    import av

    from overlays.render.frames import clip_frames, lay_out_clip

    clip = _clip(file)
    stage = clip.stage
    context = av.VideoCodecContext.create("prores_ks", "w")
    context.width, context.height, context.pix_fmt = stage.width, stage.height, "yuva444p10le"
    context.time_base = Fraction(1) / stage.rate
    context.options = {"profile": "4444", "alpha_bits": "16"}
    if int(quantiser):
        context.qscale = True
        context.global_quality = int(quantiser)
    took = 0.0
    for index, (pixels, _) in enumerate(clip_frames(clip, lay_out_clip(clip))):
        if index % int(every):
            continue
        frame = av.VideoFrame.from_ndarray(pixels, format="rgba")
        start = time.perf_counter()
        planes = frame.reformat(
            format="yuva444p10le", dst_colorspace="ITU709", dst_color_range="MPEG", threads=1
        )
        planes.pts = index
        context.encode(planes)
        took += time.perf_counter() - start
    start = time.perf_counter()
    context.encode(None)
    return float(took + time.perf_counter() - start) * int(every)


def _plain(target: str, every: str) -> int:
    from tests.benchmarks.curves_session import plain_plot

    return plain_plot(Path(target), seconds=SECONDS, points=POINTS, every=int(every))


PARTS: dict[str, Callable[..., Any]] = {
    part.__name__: part for part in (_plan, _ours, _stages, _encoder, _plain)
}

# ---- the program --------------------------------------------------------------------------------


def _run(part: Callable[..., Any], *given: object) -> tuple[Any, float]:
    """Run a part as a program: what it found, and its wall time, start-up included."""
    command = [sys.executable, __file__, "--part", part.__name__, *map(str, given)]
    start = time.perf_counter()
    done = subprocess.run(command, stdout=subprocess.PIPE, text=True, check=True)
    return json.loads(done.stdout), time.perf_counter() - start


@contextmanager
def _clips() -> Iterator[tuple[Path, Callable[..., Path]]]:
    """Give a folder, and a function that plans clips in it."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)

        def planned(height: int, *, seconds: int = SECONDS, points: int = POINTS) -> Path:
            clip = folder / f"{height}-{seconds}-{points}.clip"
            _run(_plan, clip.with_suffix(""), clip, height, seconds, points)
            return clip

        yield folder, planned


def _plain_time(folder: Path, every: int) -> float:
    """Time the plain plot; what does not depend on the number of frames is counted once."""
    frames, took = _run(_plain, folder / "plain.mov", every)
    few, start_up = _run(_plain, folder / "plain.mov", SECONDS * 60 // 5)
    per_frame = (took - start_up) / (int(frames) - int(few))
    return start_up + per_frame * (SECONDS * 60 - int(few))


def _warm_share(folder: Path) -> float:
    """Time `episode` with nothing changed against `check`, on the demo."""

    def command(*words: object) -> float:
        start = time.perf_counter()
        done = [sys.executable, ROOT / "render.py", *words]
        subprocess.run([str(word) for word in done], stdout=subprocess.DEVNULL, check=True)
        return time.perf_counter() - start

    command("episode", DEMO, "--out", folder / "episode")
    check = min(command("check", DEMO) for _ in range(3))
    return min(command("episode", DEMO, "--out", folder / "episode") for _ in range(3)) / check


def measure(every: int) -> dict[str, float]:
    """Run everything, telling what is going on on standard error."""
    found: dict[str, float] = {}
    frames = SECONDS * 60

    def tell(what: str) -> None:
        sys.stderr.write(f"… {what}\n")

    with _clips() as (folder, planned):
        out = folder / "ours.mov"
        clip, large = planned(1080), planned(2160)
        tell("ours, 1080")
        ours, program_s = min((_run(_ours, clip, out) for _ in range(3)), key=lambda run: run[1])
        stages, _ = _run(_stages, clip, out)
        short, _ = _run(_stages, planned(1080, points=300), out)
        tell("ours, 2160")
        ours_large, _ = _run(_ours, large, out)
        tell("ours, 1080, 120 s")
        long, _ = _run(_ours, planned(1080, seconds=120), out)
        out.unlink()
        tell("prores_ks, fixed quantiser")
        fixed_s, _ = _run(_encoder, clip, 1, every)
        tell("prores_ks, default")
        default_s, _ = _run(_encoder, clip, 0, every)
        tell("prores_ks, default, 2160")
        default_large_s, _ = _run(_encoder, large, 0, every * 2)
        tell("the plain plot")
        plain_s = _plain_time(folder, every)
        tell("check and a warm episode")
        warm = _warm_share(folder)
    found["vs_plain_plot"] = program_s / plain_s
    found["vs_fixed_quantiser"] = ours["s"] / fixed_s
    found["vs_default_encoder"] = ours["s"] / default_s
    found["vs_default_encoder_2160"] = ours_large["s"] / default_large_s
    found["peak_mb_1080"] = ours["peak_mb"]
    found["peak_mb_2160"] = ours_large["peak_mb"]
    found["peak_mb_1080_120s"] = long["peak_mb"]
    found["drawn_fps"] = frames / stages["drawn_s"]
    found["drawn_fps_300_points"] = frames / short["drawn_s"]
    found["encoded_fps"] = frames / stages["encoded_s"]
    found["written_fps"] = frames / stages["written_s"]
    found["layout_s"] = stages["layout_s"]
    found["start_up_s"] = program_s - ours["s"]
    found["rendered_s"] = ours["s"]
    found["rendered_2160_s"] = ours_large["s"]
    found["kb_per_frame"] = stages["bytes"] / frames / 1000
    found["warm_episode_vs_check"] = warm
    return found


# What the project set itself; None where there is only something to look at.
GOALS: dict[str, tuple[str, float]] = {
    "vs_plain_plot": ("at most", 1 / 30),
    "vs_fixed_quantiser": ("at most", 0.33),
    "vs_default_encoder": ("at most", 0.08),
    "vs_default_encoder_2160": ("at most", 1 / 20),
    "peak_mb_1080": ("under", 450),
    "peak_mb_2160": ("under", 900),
    "peak_mb_1080_120s": ("under", 450),
    "warm_episode_vs_check": ("under", 1.5),
}


def main() -> None:
    """Measure, print the table, write the file."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("--json", type=Path, help="where to write the figures")
    parser.add_argument("--every", type=int, default=6, help="give the others every Nth frame")
    parser.add_argument("--part", nargs="+", help=argparse.SUPPRESS)
    chosen = parser.parse_args()
    if chosen.part:
        name, *given = chosen.part
        sys.stdout.write(json.dumps(PARTS[name](*given)))
        return
    found = measure(chosen.every)
    for name, value in found.items():
        word, goal = GOALS.get(name, ("", 0.0))
        told = f"{word} {goal:.4g}" if word else ""
        sys.stdout.write(f"{name:26}{value:10.4g}   {told}\n")
    if chosen.json:
        chosen.json.write_text(json.dumps(found, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
