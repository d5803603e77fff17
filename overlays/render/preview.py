"""A quick look: a still over a checkerboard, or a small film over it, in less time than it lasts.

Plan the clip with ``plan_cue(…, shrink=2)`` for a film: it is then laid out anew at half the size,
which is sharper than scaling down and needs a quarter of the work. Films over camera footage are
made by `overlays.render.footage`.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from overlays.draw.backdrop import BACKDROPS, over_codes
from overlays.draw.canvas import Canvas, draw_alone
from overlays.draw.patch import Pixels, Rect, Scene
from overlays.errors import RenderError
from overlays.files import written_whole
from overlays.kinds.staging import full_frame
from overlays.model.clip import Clip
from overlays.progress import Progress, silent
from overlays.render.frames import lay_out_clip
from overlays.timecode import frames_from_s

if TYPE_CHECKING:
    from PIL.Image import Image

__all__ = [
    "FILM_ENDINGS",
    "even_size",
    "preview_film",
    "preview_still",
    "refuse_film",
    "refuse_picture",
    "still",
]

FILM_ENDINGS = (".mp4", ".gif")
_GIF_RATE = 20  # a GIF counts in hundredths of a second, and viewers slow down below two of them


def preview_still(
    clip: Clip, target: Path, *, at_s: Fraction | float = 0, backdrop: str = "checkerboard"
) -> None:
    """Write one frame of a clip over a backdrop, as PNG.

    Parameters
    ----------
    clip : Clip
        What to show.
    target : Path
        The file.
    at_s : Fraction or float
        Time from the cue's beginning; past its end the last frame is shown.
    backdrop : str
        A name in `overlays.draw.backdrop.BACKDROPS`.

    Raises
    ------
    RenderError
        If there is no such backdrop.
    StyleError
        If the clip's style cannot be read or a font lacks a glyph.
    WorkError
        If the file cannot be written.
    """
    frame = frames_from_s(at_s, clip.stage.rate)
    still(lay_out_clip(clip), target, frame=frame, backdrop=backdrop)


def still(scene: Scene, target: Path, *, frame: int, backdrop: str = "checkerboard") -> None:
    """Write one frame of a scene as PNG, the nearest one there is; errors as `preview_still`."""
    from PIL.Image import fromarray

    behind = _backdrop(backdrop, scene.width, scene.height)
    picture = over_codes(draw_alone(scene, min(max(frame, 0), scene.frames - 1)), behind)
    with written_whole(target) as part:
        fromarray(picture).save(part, "PNG", compress_level=1)


def preview_film(
    clip: Clip,
    target: Path,
    *,
    backdrop: str = "checkerboard",
    progress: Progress = silent,
) -> None:
    """Write a clip's cue, without its handles, over a backdrop.

    Parameters
    ----------
    clip : Clip
        What to show, usually planned at half the size.
    target : Path
        Ends in ``.mp4`` (H.264, at the clip's rate) or ``.gif`` (at most 20 frames/s).
    backdrop : str
        A name in `overlays.draw.backdrop.BACKDROPS`.
    progress : Progress
        Told the frames written.

    Raises
    ------
    RenderError
        If the target has another ending, or there is no such backdrop.
    StyleError
        If the clip's style cannot be read or a font lacks a glyph.
    WorkError
        If the file cannot be written.
    """
    film(lay_out_clip(clip), target, rate=clip.stage.rate, backdrop=backdrop, progress=progress)


def film(
    scene: Scene,
    target: Path,
    *,
    rate: Fraction,
    backdrop: str = "checkerboard",
    progress: Progress = silent,
) -> None:
    """Write every frame of a scene over a backdrop; parameters and errors as `preview_film`."""
    refuse_film(target)
    write = _write_gif if target.suffix.lower() == ".gif" else _write_mp4
    # H.264's halved chroma needs even sides.
    behind = _backdrop(backdrop, scene.width + scene.width % 2, scene.height + scene.height % 2)
    with written_whole(target) as part:
        write(scene, behind, part, rate, progress)


def refuse_film(target: Path) -> None:
    """Make sure that a film can be written to a file of that name.

    Raises
    ------
    RenderError
        If it ends in anything but ``.mp4`` or ``.gif``.
    """
    if target.suffix.lower() not in FILM_ENDINGS:
        raise RenderError(
            f"a preview ends in {' or '.join(FILM_ENDINGS)}, found {target.name!r}.",
            code="unknown-preview",
            field="out",
            remedy="Name the file .mp4 or .gif, or ask for one picture with a time.",
        )


def refuse_picture(target: Path) -> None:
    """Make sure that a still can be written to a file of that name.

    Raises
    ------
    RenderError
        If it ends in anything but ``.png``.
    """
    if target.suffix.lower() != ".png":
        raise RenderError(
            f"one picture ends in .png, found {target.name!r}.",
            code="unknown-preview",
            field="out",
            remedy="Name the file .png, or ask for a film by leaving the time out.",
        )


def even_size(clip: Clip) -> tuple[int, int]:
    """Return a clip's width and height, one more where they are odd, as H.264 needs them even."""
    return clip.stage.width + clip.stage.width % 2, clip.stage.height + clip.stage.height % 2


def _backdrop(name: str, width: int, height: int) -> Pixels:
    if name not in BACKDROPS:
        known = ", ".join(BACKDROPS)
        raise RenderError(
            f"there is no backdrop {name!r}; there are: {known}.",
            code="unknown-backdrop",
            field="backdrop",
            remedy=f"Choose one of {known}.",
        )
    return BACKDROPS[name](width, height)


def _composed(scene: Scene, behind: Pixels) -> Iterator[tuple[Pixels, tuple[Rect, ...]]]:
    """Draw a scene over a backdrop: one array, overwritten, and what changed."""
    shown = behind.copy()
    canvas = Canvas(scene)
    for frame in range(scene.frames):
        changed = canvas.draw(frame)
        for rect in changed:
            place = np.s_[rect.top : rect.bottom, rect.left : rect.right]
            shown[place] = over_codes(canvas.pixels[place], behind[place])
        yield shown, changed


def _write_mp4(
    scene: Scene,
    behind: Pixels,
    part: Path,
    rate: Fraction,
    progress: Progress,
) -> None:
    import av

    with av.open(str(part), "w", container_options={"movflags": "+faststart"}) as container:
        stream = container.add_stream("libx264", rate=rate)
        stream.pix_fmt = "yuv420p"
        stream.options = {"preset": "ultrafast", "crf": "18"}
        stream.time_base = 1 / rate
        stream.height, stream.width = behind.shape[:2]
        context = stream.codec_context
        context.color_primaries = context.color_trc = context.colorspace = 1  # BT.709 in H.273
        context.color_range = 1  # narrow
        picture: av.VideoFrame | None = None
        for index, (pixels, changed) in enumerate(_composed(scene, behind)):
            if picture is None or changed:
                # Several threads damage pixels where the width is no multiple of 16.
                picture = av.VideoFrame.from_ndarray(pixels, format="rgb24").reformat(
                    format="yuv420p", dst_colorspace="ITU709", dst_color_range="MPEG", threads=1
                )
                picture.time_base = 1 / rate
            picture.pts = index
            container.mux(stream.encode(picture))
            progress(index + 1, scene.frames, "frames")
        container.mux(stream.encode(None))


def _write_gif(
    scene: Scene,
    behind: Pixels,
    part: Path,
    rate: Fraction,
    progress: Progress,
) -> None:
    from PIL.Image import Dither, fromarray

    slower: Fraction = min(Fraction(_GIF_RATE), rate)
    count = max(1, int(scene.frames / rate * slower))
    wanted = {scene.frames * index // count for index in range(count)}
    # The colours of the last complete frame serve all: it has everything in it.
    last = behind.copy()
    last[: scene.height, : scene.width] = over_codes(
        draw_alone(scene, full_frame(scene)), behind[: scene.height, : scene.width]
    )
    palette = fromarray(last).quantize(255)

    def pictures() -> Iterator[Image]:
        for frame, (pixels, _) in enumerate(_composed(scene, behind)):
            if frame in wanted:
                yield fromarray(pixels).quantize(palette=palette, dither=Dither.NONE)
            progress(frame + 1, scene.frames, "frames")

    first, *rest = pictures()
    milliseconds = round(100 / slower) * 10
    first.save(part, "GIF", save_all=True, append_images=rest, duration=milliseconds, loop=0)
