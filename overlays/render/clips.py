"""Clips to files."""

from __future__ import annotations

from pathlib import Path

from overlays.draw.patch import Scene
from overlays.files import written_whole
from overlays.model.clip import Clip
from overlays.progress import Progress, silent
from overlays.render.codecs.base import Codec, FileSpec
from overlays.render.codecs.registry import codec_named
from overlays.render.frames import clip_frames, lay_out_clip

__all__ = ["render_clip", "write_part"]


def render_clip(
    clip: Clip,
    target: Path,
    *,
    codec: str = "prores4444",
    progress: Progress = silent,
) -> None:
    """Render one clip in this process.

    Parameters
    ----------
    clip : Clip
        What to render.
    target : Path
        The file, or for ``png`` the folder; appears when it is whole, and replaces what was there.
    codec : str
        A name in `overlays.model.clip.CODECS`.
    progress : Progress
        Told after every frame.

    Raises
    ------
    RenderError
        If the codec does not carry alpha.
    StyleError
        If the clip's style cannot be read or a font lacks a glyph.
    WorkError
        If the target cannot be written.
    """
    writes = codec_named(codec)
    scene = lay_out_clip(clip)
    with written_whole(target) as part:
        write_part(clip, scene, part, codec=writes, progress=progress)


def write_part(
    clip: Clip,
    scene: Scene,
    target: Path,
    *,
    codec: Codec,
    start: int = 0,
    stop: int | None = None,
    progress: Progress = silent,
) -> None:
    """Write frames `start` to `stop` of a clip's file to a path, as they are drawn."""
    end = clip.frames if stop is None else stop
    writer = codec.open(target, FileSpec.of(clip), first=start)
    try:
        frames = clip_frames(clip, scene, start=start, stop=end)
        for done, (pixels, changed) in enumerate(frames, start=1):
            writer.add(pixels, changed)
            progress(done, end - start, "frames")
        writer.finish()
    except BaseException:
        writer.abandon()
        raise
