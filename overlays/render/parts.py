"""Parts of clips: cut in the main process, drawn and encoded in any process.

This is the module that worker processes import, here or on another machine; it knows nothing of
pools, caches or progress bars.
"""

from __future__ import annotations

import errno
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

import av

from overlays.draw.patch import Pixels, Rect, Scene
from overlays.errors import RenderError
from overlays.model.clip import CODECS, Clip
from overlays.render.cache import digest
from overlays.render.codecs.base import Codec, FileSpec
from overlays.render.codecs.prores4444 import ProRes4444
from overlays.render.codecs.registry import codec_named
from overlays.render.frames import clip_frames, lay_out_clip
from overlays.render.outcome import Drawn

__all__ = ["Part", "Seen", "cut", "draw_part", "write_frames"]

LEAST_FRAMES = 450
"""Shorter parts are not worth laying a clip out once more for them."""
_TELL_EVERY = 8  # frames


Seen = Callable[[int, Pixels, Sequence[Rect]], None]
"""Told every frame of the file as it is drawn: its number, its pixels, and what changed."""


def _nobody(frames: int) -> None:
    del frames


def _unseen(number: int, pixels: Pixels, changed: Sequence[Rect]) -> None:
    del number, pixels, changed


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """Some frames of a clip's file, to be written to a file of their own.

    Parameters
    ----------
    clip : Clip
        The whole clip.
    codec : str
        A name in `overlays.model.clip.CODECS`.
    start, stop : int
        Which frames of the file.
    target : Path
        Where to write; nobody else does.
    whole_frames : bool
        Only for ``prores4444``: encode whole frames, the slow way.
    """

    clip: Clip
    codec: str
    start: int
    stop: int
    target: Path
    whole_frames: bool = False

    @property
    def frames(self) -> int:
        """How many frames it has."""
        return self.stop - self.start


def cut(clip: Clip, stem: Path, *, codec: Codec, pieces: int) -> tuple[Part, ...]:
    """Cut a clip into parts of about equal length, as many as asked for and sensible.

    Parameters
    ----------
    clip : Clip
        What to cut.
    stem : Path
        The parts' paths begin with it.
    codec : Codec
        Says where it may be cut.
    pieces : int
        At most so many.
    """
    unit = codec.cut_frames
    count = max(1, min(pieces, clip.frames // LEAST_FRAMES))
    # Whole units but for the last part, the longer parts first.
    units = -(-clip.frames // unit)
    count = min(count, units)
    ends = [min(-(-units * (i + 1) // count) * unit, clip.frames) for i in range(count)]
    starts = [0, *ends[:-1]]
    ending = CODECS[codec.name]
    return tuple(
        Part(clip, codec.name, start, stop, stem.with_name(f"{stem.name}-{start}{ending}"))
        for start, stop in zip(starts, ends, strict=True)
    )


def write_frames(
    clip: Clip,
    scene: Scene,
    target: Path,
    *,
    codec: Codec,
    start: int = 0,
    stop: int | None = None,
    drawn: Drawn = _nobody,
    seen: Seen = _unseen,
) -> None:
    """Write frames `start` to `stop` of a clip's file as they are drawn.

    Parameters
    ----------
    clip, scene
        What to draw.
    target : Path
        The file, or folder.
    codec : Codec
        How to write it.
    start, stop : int
        Which frames of the clip's file; all by default.
    drawn : callable
        Told, every few frames, how many more are drawn.
    seen : callable
        Told each frame as drawn.
    """
    end = clip.frames if stop is None else stop
    writer = codec.open(target, FileSpec.of(clip), first=start)
    told = start
    try:
        frames = clip_frames(clip, scene, start=start, stop=end)
        for index, (pixels, changed) in enumerate(frames, start=start + 1):
            writer.add(pixels, changed)
            seen(index - 1, pixels, changed)
            if index - told >= _TELL_EVERY or index == end:
                drawn(index - told)
                told = index
        writer.finish()
    except BaseException:
        writer.abandon()
        raise


def _codec(part: Part) -> Codec:
    if part.whole_frames and part.codec == ProRes4444.name:
        return ProRes4444(whole_frames=True)
    return codec_named(part.codec)


def draw_part(
    part: Part, drawn: Drawn = _nobody, *, scene: Scene | None = None, seen: Seen = _unseen
) -> str:
    """Draw a part and write it; returns its SHA-256 (`overlays.render.cache.digest`).

    Parameters
    ----------
    part : Part
        What to draw.
    drawn : callable
        Told, every few frames, how many more are drawn.
    scene : Scene, optional
        `overlays.render.frames.lay_out_clip` of its clip, where that is there already.
    seen : callable
        Told each frame as drawn.

    Raises
    ------
    RenderError
        If the encoder or the container cannot go on.
    OSError
        If the file cannot be written, such as on a full disk.
    """
    try:
        write_frames(
            part.clip,
            scene or lay_out_clip(part.clip),
            part.target,
            codec=_codec(part),
            start=part.start,
            stop=part.stop,
            drawn=drawn,
            seen=seen,
        )
        # Here it is done side by side with other parts, and while the file is still in memory.
        return digest(part.target)
    except av.FFmpegError as error:
        if isinstance(error, OSError) or error.errno in (errno.ENOSPC, errno.EDQUOT):
            # Its own kind of error does not survive the way back from another process.
            raise OSError(error.errno, error.strerror, str(part.target)) from None
        raise RenderError(
            f"clip {part.clip.cue!r} cannot be encoded as {part.codec}: {error.strerror}.",
            code="encoder-failed",
            remedy="Try another codec; 'doctor' says which work on this machine.",
        ) from error
