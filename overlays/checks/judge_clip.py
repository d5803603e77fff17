"""Everything that is checked of one clip: the file that was written, and what it shows.

Its frames are watched as they are drawn. A few are drawn again and held against those decoded from
the file, against the data and against the limits of the trade. Memory holds two frames, however
long the clip.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
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
from overlays.checks.findings import Finding, each_once
from overlays.checks.flash_bound import FlashBound
from overlays.checks.flash_definitions import MOST_FLASHES
from overlays.checks.flashing import STILLS, judge_bound, judge_flashing, measure_flashing
from overlays.checks.levels import judge_stored_levels
from overlays.checks.pictures import judge_curves, judge_entry_colours, read_numbers
from overlays.checks.probe import probe, unreadable
from overlays.checks.reading_ahead import judge_showings
from overlays.checks.safe_area import LEAST_CANVAS_PX, judge_safe_area
from overlays.checks.words import judge_legibility
from overlays.checks.writing import Showings, lines_on
from overlays.draw.backdrop import BACKDROPS
from overlays.draw.canvas import Canvas
from overlays.draw.patch import Layer, Pixels, Rect, Scene
from overlays.errors import TurnoverError
from overlays.model.clip import CODECS, Clip
from overlays.render.frames import clip_frames, lay_out_clip
from overlays.render.outcome import Drawn
from overlays.style.house import Style, load_style

__all__ = ["ClipWatch", "Judged", "frames_looked_at"]

_TELL_EVERY = 8  # frames
_ON_SCREEN = ("contrast", "numbers", "safe-area", "text-size")


@dataclass(frozen=True, slots=True)
class Judged:
    """What was found of a clip.

    Parameters
    ----------
    findings : tuple of Finding
        Passes among them; frames count from the file's first, cues and timecodes are not filled in.
    numbers : tuple of str or None
        Every number read where the overlay last stands complete, as set; None where nothing could
        be read.
    """

    findings: tuple[Finding, ...]
    numbers: tuple[str, ...] | None


def frames_looked_at(clip: Clip) -> tuple[int, ...]:
    """Return the frames of the file that are decoded: its ends, the cue's, and one between.

    Where the overlay leaves, the last frame on which it is complete is looked at, too.

    Examples
    --------
    A file of 12 + 100 + 12 frames: 0, 12, 61, 111 and 123.
    """
    first, last = clip.handles[0], clip.frames - 1
    full, final = clip.full_frame, last - clip.handles[1]
    return tuple(sorted({0, first, (first + full) // 2, full, final, last}))


class ClipWatch:
    """Watches a clip being drawn, and judges it once its file is there.

    Parameters
    ----------
    clip : Clip
        What is drawn.
    codec : str
        How it is written.

    Attributes
    ----------
    scene : Scene
        To be drawn from; it notes what is asked of it.
    """

    def __init__(self, clip: Clip, codec: str) -> None:
        self.clip, self.codec = clip, codec
        self._laid_out = lay_out_clip(clip)
        self._showings = Showings()
        self.scene = _Noting(self._laid_out, self._showings)
        self._bound = FlashBound(self.scene.width, self.scene.height, rate=clip.stage.rate)
        self._style = load_style(clip.stage.style, Path(clip.stage.style_root))
        self._seen = 0

    def see(self, number: int, pixels: Pixels, changed: Sequence[Rect]) -> None:
        """Take a frame of the file as drawn; all of them, in turn."""
        del number
        self._bound.add(pixels, changed)
        self._seen += 1

    def see_all(self, drawn: Drawn) -> None:
        """Draw all frames, to see them, telling `drawn` how many more there are now and then."""
        told = 0
        for number, (pixels, changed) in enumerate(clip_frames(self.clip, self.scene), start=1):
            self.see(number - 1, pixels, changed)
            if number - told >= _TELL_EVERY or number == self.clip.frames:
                drawn(number - told)
                told = number

    def judged(self, file: Path, *, footage: Mapping[str, Pixels] | None = None) -> Judged:
        """Judge the clip.

        Parameters
        ----------
        file : Path
            What was written: a file, or a folder of numbered pictures.
        footage : Mapping[str, ndarray of shape (H, W, 3)], optional
            Stills of footage that the clip will lie over, by name; flashing is measured over them
            too.

        Raises
        ------
        ValueError
            If not all frames were seen.
        """
        if self._seen != self.clip.frames:
            raise ValueError(f"{self._seen} of {self.clip.frames} frames were seen")
        look = _Look(self.clip, self._laid_out, self.codec, self._style)
        found: list[Finding] = []
        try:
            found += self._judge_file(file)
            found += look.at(file)
        except TurnoverError as error:
            found.append(Finding("decode-back", "fail", error.message, error.remedy))
        found += self._flashing(footage or {})
        found.append(self._reading())
        return Judged(tuple(found), look.numbers)

    def _judge_file(self, file: Path) -> tuple[Finding, ...]:
        clip, stage = self.clip, self.clip.stage
        # Pictures in a folder have no timecode.
        timecode = clip.timebase.label(clip.file_first_frame) if CODECS[self.codec] else ""
        expected = Expected(
            codec=self.codec,
            width=stage.width,
            height=stage.height,
            frames=clip.frames,
            rate=stage.rate,
            timecode=timecode,
        )
        return judge_probe(probe(file), expected)

    def _flashing(self, footage: Mapping[str, Pixels]) -> tuple[Finding, ...]:
        """Measure light where too much may have flashed, up to the last frame at which it may."""
        bound, scene = self._bound, self._laid_out
        if not bound.doubtful_frames:
            return (judge_bound(bound),)
        behind = {name: BACKDROPS[name](scene.width, scene.height) for name in STILLS}
        frames = (
            (pixels, bound.telling(changed))
            for pixels, changed in islice(clip_frames(self.clip, scene), bound.doubtful_frames)
        )
        (within,) = bound.telling([Rect(0, 0, scene.width, scene.height)])
        verdicts = measure_flashing(
            frames, {**behind, **footage}, rate=self.clip.stage.rate, within=within
        )
        return judge_flashing(verdicts, least=MOST_FLASHES)

    def _reading(self) -> Finding:
        return judge_showings(self.clip, self._showings, self._style)


class _Noting:
    """A scene that notes the texts of the frames it is asked for."""

    def __init__(self, scene: Scene, showings: Showings) -> None:
        self.width, self.height, self.frames = scene.width, scene.height, scene.frames
        self._scene = scene
        self._showings = showings

    def layers(self, frame: int) -> Sequence[Layer]:
        layers = self._scene.layers(frame)
        self._showings.add(frame, layers)
        return layers


class _Look:
    """A look at some frames of a file, beside the same frames drawn."""

    def __init__(self, clip: Clip, scene: Scene, codec: str, style: Style) -> None:
        self.numbers: tuple[str, ...] | None = None
        self._clip, self._scene, self._style = clip, scene, style
        self._codec = codec
        self._full, self._final = clip.full_frame, clip.frames - 1 - clip.handles[1]
        self._middle = (clip.handles[0] + self._full) // 2

    def at(self, file: Path) -> list[Finding]:
        """Decode, draw and compare. Raises `TurnoverError` where the file cannot be decoded."""
        clip, wanted = self._clip, frames_looked_at(self._clip)
        comparison, ends = Comparison(self._codec), dict[int, Pixels]()
        found: list[Finding] = []
        canvas = Canvas(self._scene)
        decoded = decode_with_codes(file, only=wanted)
        for index in wanted:
            number, back, codes = next(decoded, (-1, canvas.pixels, None))
            if number != index:
                raise TurnoverError(
                    f"frame {index} of the file cannot be decoded.",
                    code="unreadable-clip",
                    file=file.name,
                    remedy="Render it again.",
                )
            canvas.draw(clip.overlay_frame(index))
            if back.shape != canvas.pixels.shape:
                raise unreadable(file, "its frames are of another size than those drawn")
            if index in (0, self._final, clip.frames - 1):
                ends[index] = back
            if index == clip.frames - 1 and self._same(back, ends):
                continue  # a hold, and compared already
            comparison.add(index, back, canvas.pixels)
            if index in (self._middle, self._full):
                found += self._details(index, back, canvas.pixels, codes)
        ended = judge_ends(
            ends,
            handles=clip.handles,
            count=clip.frames,
            codec=self._codec,
            leaves=clip.stage.leave > 0,
        )
        return [comparison.finding(), *ended, *each_once(found)]

    def _same(self, back: Pixels, ends: Mapping[int, Pixels]) -> bool:
        return self._final != self._clip.frames - 1 and np.array_equal(back, ends[self._final])

    def _details(
        self, index: int, back: Pixels, drawn: Pixels, codes: Codes | None
    ) -> list[Finding]:
        content, frame = self._clip.content, self._clip.overlay_frame(index)
        found = [judge_alpha(back, drawn, frame=index)]
        if index == self._full:
            found.append(judge_stored_levels(codes, frame=index))
            found += judge_entry_colours(content, self._style, drawn, frame=index)
        if min(drawn.shape[:2]) < LEAST_CANVAS_PX:
            message = f"not judged on a canvas of fewer than {LEAST_CANVAS_PX} pixels a side."
            return found + [Finding(check, "pass", message) for check in _ON_SCREEN]
        found.append(judge_safe_area(back, frame=index))
        curves = judge_curves(self._scene, content, back, overlay_frame=frame, frame=index)
        if curves is not None:
            found.append(curves)
        if index == self._full:
            lines = lines_on(self._scene.layers(frame))
            read = read_numbers(lines, back, frame=index)
            self.numbers = read.texts
            found += [read.finding, *judge_legibility(lines, drawn, frame=index)]
        return found
