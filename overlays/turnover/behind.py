"""The camera file that lies behind a cue, and which of its times is shown at each frame."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import numpy as np

from overlays.kinds.registry import kinds
from overlays.model.clip import Clip
from overlays.model.footagespec import FootageSpec
from overlays.model.run import RunRef
from overlays.plan import Episode
from overlays.render.footage import footage_files
from overlays.session.paths import inside
from overlays.session.run_names import named_run
from overlays.style.house import load_style

__all__ = ["Behind", "behind_cue"]

_STEPS = 400


@dataclass(frozen=True, slots=True)
class Behind:
    """A camera file behind a cue.

    Parameters
    ----------
    file : Path
        The camera file.
    from_s : Fraction or float
        Its time at the cue's first frame.
    times_s : tuple of float, or None
        Its time at each frame of the cue, where the cue does not keep the run's pace.
    """

    file: Path
    from_s: Fraction | float
    times_s: tuple[float, ...] | None = None


def behind_cue(episode: Episode, clip: Clip, *, from_s: Fraction) -> Behind | None:
    """Return what lies behind a cue; None where the session has no footage.

    Parameters
    ----------
    episode : Episode
        The episode.
    clip : Clip
        The cue, planned.
    from_s : Fraction
        Its time in the episode, at which footage runs that shows none of the cue's runs.
    """
    session = episode.results.session
    drawn = kinds()[clip.kind].in_step(clip.content)
    shown = {named_run(item.run, session.runs): item for item in session.spec.footage}
    for ref, item in sorted(shown.items(), key=lambda pair: _place(pair[0], drawn)):
        file = inside(session.folder, item.file)
        if ref.file in drawn and file.is_file():
            return _in_step(episode, clip, ref, item, file)
    files = footage_files(session.folder)
    return Behind(files[0], from_s) if files else None


def _place(ref: RunRef, drawn: tuple[str, ...]) -> int:
    return drawn.index(ref.file) if ref.file in drawn else len(drawn)


def _in_step(episode: Episode, clip: Clip, ref: RunRef, item: FootageSpec, file: Path) -> Behind:
    """Let each frame show the picture of the time up to which the run is drawn on it."""
    session = episode.results.session
    kind, stage = kinds()[clip.kind], clip.stage
    style = load_style(session.spec.episode.style, session.folder / "styles")
    length_s = session.spec.tests[ref.test].length.to("s")
    rate, starts_s = float(stage.rate), item.starts.to("s")
    run_s = np.linspace(length_s / _STEPS, length_s, _STEPS)
    coming = stage.before_leaving
    frames = np.array([kind.frame_at(clip.content, coming, style, time) for time in run_s])
    # The last time that a frame has come to is the one it shows.
    last = np.flatnonzero(np.diff(frames, append=frames[-1] + 1))
    shown, drawn_s = frames[last].astype(float), run_s[last]
    zero = shown[0] - drawn_s[0] * rate
    if np.abs(shown - zero - drawn_s * rate).max() <= 1.5:
        # A whole number of frames into the run, the head stands at that time exactly.
        whole_s = max(1, int(length_s * rate)) / rate
        frame = kind.frame_at(clip.content, coming, style, whole_s)
        return Behind(file, starts_s + whole_s - frame / rate)
    times = np.interp(np.arange(stage.frames), shown, drawn_s)
    before = np.arange(stage.frames) < shown[0]
    times[before] = drawn_s[0] - (shown[0] - np.arange(stage.frames)[before]) / rate
    after = np.arange(stage.frames) > shown[-1]
    times[after] = drawn_s[-1] + (np.arange(stage.frames)[after] - shown[-1]) / rate
    return Behind(file, starts_s + float(times[0]), tuple(starts_s + float(t) for t in times))
