"""Everything that is checked of one clip: the file that was written, and what it shows.

The clip is drawn once more from its content, a few frames are decoded from its file, and the two
are held against each other, against the data and against the limits of the trade. Memory holds two
frames, however long the clip.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import islice
from pathlib import Path

import numpy as np

from overlays.checks.alpha import judge_alpha
from overlays.checks.decode_back import (
    Comparison,
    Expected,
    judge_ends,
    judge_probe,
)
from overlays.checks.decoding import Codes, decode_with_codes
from overlays.checks.findings import Finding
from overlays.checks.flash_bound import FlashBound
from overlays.checks.flashing import judge_bound, judge_flashing, measure_flashing
from overlays.checks.levels import judge_levels, measure_levels
from overlays.checks.pictures import judge_curves, judge_entry_colours, read_numbers
from overlays.checks.probe import probe
from overlays.checks.safe_area import judge_safe_area
from overlays.checks.words import judge_legibility, judge_reading
from overlays.checks.writing import lines_on, showings
from overlays.draw.backdrop import BACKDROPS
from overlays.draw.page import Page
from overlays.draw.patch import Pixels, Scene
from overlays.errors import TurnoverError
from overlays.model.clip import CODECS, Clip
from overlays.render.frames import clip_frames
from overlays.style.house import load_style

__all__ = ["Judged", "frames_looked_at", "judge_clip"]

_BACKDROPS = ("checkerboard", "black", "white")
_TELL_EVERY = 8  # frames
# Levels are a matter of area: a quarter of the pixels tells it.
_EVERY_PIXEL = 2

Drawn = Callable[[int], None]


def _nobody(frames: int) -> None:
    del frames


@dataclass(frozen=True, slots=True)
class Judged:
    """What was found of a clip.

    Parameters
    ----------
    findings : tuple of Finding
        Passes among them; frames count from the file's first, cues and timecodes are not filled in.
    numbers : tuple of str
        Every number read in the cue's last frame, as set.
    """

    findings: tuple[Finding, ...]
    numbers: tuple[str, ...]


def frames_looked_at(clip: Clip) -> tuple[int, ...]:
    """Return the frames of the file that are decoded: its ends, the cue's, and one between.

    Examples
    --------
    A file of 12 + 100 + 12 frames: 0, 12, 61, 111 and 123.
    """
    first, last = clip.handles[0], clip.frames - 1
    final = last - clip.handles[1]
    return tuple(sorted({0, first, (first + final) // 2, final, last}))


def judge_clip(
    clip: Clip,
    scene: Scene,
    file: Path,
    *,
    codec: str,
    footage: Mapping[str, Pixels] | None = None,
    drawn: Drawn = _nobody,
) -> Judged:
    """Check one clip.

    Parameters
    ----------
    clip, scene
        What was to be rendered, and `overlays.render.frames.lay_out_clip` of it.
    file : Path
        What was written: a file, or a folder of numbered pictures.
    codec : str
        How.
    footage : Mapping[str, ndarray of shape (H, W, 3)], optional
        Stills of footage that the clip will lie over, by name; flashing is measured over them too.
    drawn : callable
        Told, every few frames, how many more have been looked at.
    """
    watch = _Watch(clip, scene, codec)
    found: list[Finding] = []
    try:
        found += _judge_file(clip, file, codec)
        watch.run(file, drawn)
        found += watch.findings()
    except TurnoverError as error:
        found.append(Finding("decode-back", "fail", error.message, error.remedy))
    if watch.bound.doubtful_frames:
        found += _measure(clip, scene, watch.bound.doubtful_frames, footage or {})
    else:
        found.append(judge_bound(watch.bound))
    style = load_style(clip.stage.style, Path(clip.stage.style_root))
    page = Page(scene.width, scene.height, style)
    quiet = style.colours.quiet
    reading = judge_reading(
        showings(scene),
        rate=clip.stage.rate,
        floor_px=page.px(style.type.floor),
        quiet=(*quiet.rgb, quiet.alpha),
        first_frame=clip.handles[0],
    )
    return Judged((*found, reading), watch.numbers)


def _judge_file(clip: Clip, file: Path, codec: str) -> tuple[Finding, ...]:
    # Pictures in a folder have no timecode.
    timecode = clip.timebase.label(clip.file_first_frame) if CODECS[codec] else ""
    stage = clip.stage
    expected = Expected(
        codec=codec,
        width=stage.width,
        height=stage.height,
        frames=clip.frames,
        rate=stage.rate,
        timecode=timecode,
    )
    return judge_probe(probe(file), expected)


def _measure(
    clip: Clip, scene: Scene, frames: int, footage: Mapping[str, Pixels]
) -> tuple[Finding, ...]:
    """Measure light up to the last frame at which too much may have flashed."""
    behind = {name: BACKDROPS[name](scene.width, scene.height) for name in _BACKDROPS}
    seen = islice(clip_frames(clip, scene), frames)
    return judge_flashing(measure_flashing(seen, {**behind, **footage}, rate=clip.stage.rate))


class _Watch:
    """One pass over a clip's frames, drawn again, some of them held against the file's."""

    def __init__(self, clip: Clip, scene: Scene, codec: str) -> None:
        self.clip, self.scene, self.codec = clip, scene, codec
        self.bound = FlashBound(scene.width, scene.height, rate=clip.stage.rate)
        self.numbers: tuple[str, ...] = ()
        self._wanted = frames_looked_at(clip)
        self._comparison = Comparison(codec)
        self._ends: dict[int, Pixels] = {}
        self._found: list[Finding] = []

    def run(self, file: Path, drawn: Drawn) -> None:
        """Draw, decode and compare. Raises `TurnoverError` where the file cannot be decoded."""
        decoded = decode_with_codes(file, only=self._wanted)
        told = 0
        for index, (pixels, changed) in enumerate(clip_frames(self.clip, self.scene)):
            self.bound.add(pixels, changed)
            if index in self._wanted:
                number, back, codes = next(decoded, (-1, pixels, None))
                if number != index:
                    raise TurnoverError(
                        f"frame {index} of the file cannot be decoded.",
                        code="unreadable-clip",
                        file=file.name,
                        remedy="Render it again.",
                    )
                self._compare(index, back, pixels, codes)
            if index + 1 - told >= _TELL_EVERY or index + 1 == self.clip.frames:
                drawn(index + 1 - told)
                told = index + 1

    def findings(self) -> list[Finding]:
        """Return what was found of the frames."""
        clip = self.clip
        ends = judge_ends(self._ends, handles=clip.handles, count=clip.frames, codec=self.codec)
        return [self._comparison.finding(), *ends, *_each_once(self._found)]

    def _compare(self, index: int, back: Pixels, drawn: Pixels, codes: Codes | None) -> None:
        clip, final = self.clip, self.clip.frames - 1 - self.clip.handles[1]
        self._comparison.add(index, back, drawn)
        # The first is only looked at, the cue's last is compared with the file's.
        if index in (0, final, clip.frames - 1):
            self._ends[index] = back
        if not drawn[..., 3].any():
            return
        self._found.append(judge_alpha(back, drawn, frame=index))
        if index in (clip.handles[0], clip.frames - 1) and index != final:
            return
        self._found.append(judge_safe_area(back, frame=index))
        self._found.append(_levels(codes, index))
        curves = judge_curves(
            self.scene, clip.content, back, overlay_frame=clip.overlay_frame(index), frame=index
        )
        if curves is not None:
            self._found.append(curves)
        if index == final:
            self._look_at_final(index, back, drawn)

    def _look_at_final(self, index: int, back: Pixels, drawn: Pixels) -> None:
        lines = lines_on(self.scene.layers(self.scene.frames - 1))
        style = load_style(self.clip.stage.style, Path(self.clip.stage.style_root))
        read = read_numbers(lines, back, frame=index)
        self.numbers = read.texts
        self._found.append(read.finding)
        self._found += judge_legibility(lines, drawn, frame=index)
        self._found += judge_entry_colours(self.clip.content, style, drawn, frame=index)


def _levels(codes: Codes | None, frame: int) -> Finding:
    if codes is None:
        message = "the file stores RGB in full range; it has no video levels."
        return Finding("levels", "pass", message, frame=frame)
    thin = np.s_[::_EVERY_PIXEL, ::_EVERY_PIXEL]
    small = codes.blue.shape != codes.luma.shape
    measured = measure_levels(
        codes.luma[thin],
        codes.blue if small else codes.blue[thin],
        codes.red if small else codes.red[thin],
        bits=codes.bits,
        alpha=None if codes.alpha is None else codes.alpha[thin],
    )
    return judge_levels(measured, frame=frame)


def _each_once(findings: Sequence[Finding]) -> list[Finding]:
    """Keep every failure and caution, and of passes the last of each check that has none."""
    told = [item for item in findings if item.verdict != "pass"]
    failed = {item.check for item in told}
    passed = {item.check: item for item in findings if item.check not in failed}
    return told + [replace(item, frame=None) for item in passed.values()]
