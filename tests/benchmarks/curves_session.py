"""The overlay that the rendering benchmark draws: three invented curves, and the plain way."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np

from overlays.errors import Problems
from overlays.model.clip import Clip
from overlays.plan import find_cue, open_episode, plan_cue

__all__ = ["plain_plot", "plan_curves", "write_session"]

_SESSION = """
[episode]
title = "Three hoses"
date = 2026-05-02
rate = "60"
start = "01:00:00:00"
canvas = [{width}, {height}]
handles = [0, 0]

[entries.ash]
name = "Ash"
[entries.birch]
name = "Birch"
[entries.cedar]
name = "Cedar"

[channels.flow]
label = "flow"
column = "flow"
unit = "l/min"

[tests.run]
label = "Tap open"
length = "{length} s"
repeats = 1
channels = ["flow"]
main = "mean_flow"
files = "logs/{{entry}}_{{test}}_{{repeat}}.csv"

[figures.mean_flow]
label = "flow"
take = "mean"
test = "run"
channel = "flow"
start = "0 s"
end = "{length} s"
"""
_OUTLINE = """
## Tap open

```beat
in = "01:00:00:00"
length = "{cue} s"
```

```cue curves
id = "curves"
at = "0 s"
length = "{cue} s"
test = "run"
```
"""


def trace(index: int, points: int, seconds: float) -> tuple[np.ndarray, np.ndarray]:
    """Return times and values of one noisy curve."""
    times = np.linspace(0, seconds, points)
    noise = np.random.default_rng(index).normal(0, 0.15, points)
    slow = np.exp(-times / (2 + index)) * (9 + index)
    wave = np.sin(times * (2 + 0.3 * index)) * math.e / 2
    return times, 20 - slow + wave + noise - 1.5 * index


def write_session(folder: Path, *, width: int, height: int, seconds: int, points: int) -> Path:
    """Write a session whose one cue draws three traces for most of its length, then holds."""
    length = seconds - 2
    (folder / "logs").mkdir(parents=True)
    text = _SESSION.format(width=width, height=height, length=length)
    (folder / "session.toml").write_text(text, encoding="utf-8")
    (folder / "outline.md").write_text(_OUTLINE.format(cue=seconds), encoding="utf-8")
    for index, entry in enumerate(("ash", "birch", "cedar")):
        times, values = trace(index, points, length)
        lines = ["time_s,flow"]
        lines += [f"{t:.5f},{v:.4f}" for t, v in zip(times, values, strict=True)]
        log = folder / "logs" / f"{entry}_run_1.csv"
        log.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return folder


def plan_curves(session: Path) -> Clip:
    """Plan the one clip of such a session."""
    problems = Problems()
    episode = open_episode(session, problems)
    problems.raise_errors()
    assert episode is not None
    return plan_cue(find_cue(episode.outline, "curves"), episode, codec="prores4444")


def plain_plot(target: Path, *, seconds: int, points: int, every: int) -> int:
    """Render such a picture the way a plotting script does; returns the frames written.

    matplotlib's FuncAnimation draws the whole figure for every frame and pipes it, transparent, to
    FFmpeg's prores_ks at its default settings.
    """
    import imageio_ffmpeg
    import matplotlib as mpl

    mpl.use("agg")
    mpl.rcParams["animation.ffmpeg_path"] = imageio_ffmpeg.get_ffmpeg_exe()
    from matplotlib import pyplot as plt
    from matplotlib.animation import FFMpegWriter, FuncAnimation
    from matplotlib.artist import Artist
    from matplotlib.patches import Rectangle

    length = seconds - 2
    traces = [trace(index, points, length) for index in range(3)]
    figure = plt.figure(figsize=(19.2, 10.8), dpi=100)
    panel = Rectangle((0.05, 0.05), 0.9, 0.76, transform=figure.transFigure, color="#1b2024")
    panel.set_alpha(0.94)
    figure.add_artist(panel)
    axes = figure.add_axes((0.1, 0.12, 0.7, 0.6))
    axes.patch.set_alpha(0)
    axes.set_xlim(0, length)
    axes.set_ylim(8, 24)
    axes.set_title("Tap open", color="white", fontsize=30)
    axes.tick_params(colors="white", labelsize=16)
    colours = ("#ffb02e", "#59c3f5", "#a6e05a")
    lines = [axes.plot([], [], color=colour, lw=4)[0] for colour in colours]
    values = [figure.text(0.83, 0.6 - 0.1 * i, "", color=c, size=30) for i, c in enumerate(colours)]

    def update(frame: int) -> list[Artist]:
        shown_s = min((frame + 1) / 60, length)
        for (times, flow), line, value in zip(traces, lines, values, strict=True):
            last = int(np.searchsorted(times, shown_s))
            line.set_data(times[:last], flow[:last])
            value.set_text(f"{flow[max(last - 1, 0)]:.1f}")
        return [*lines, *values]

    frames = range(0, seconds * 60, every)
    animation = FuncAnimation(figure, update, frames=frames, cache_frame_data=False)
    writer = FFMpegWriter(
        fps=60,
        codec="prores_ks",
        extra_args=["-profile:v", "4444", "-pix_fmt", "yuva444p10le", "-alpha_bits", "16"],
    )
    animation.save(target, writer=writer, savefig_kwargs={"transparent": True})
    return len(frames)
