"""A film of an overlay over camera footage, with its sound, by moviepy."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

from overlays.errors import RenderError
from overlays.files import scratch_folder, written_whole
from overlays.films import opened_film, program_name, unreadable_film
from overlays.model.clip import Clip
from overlays.render.moviepy_clip import clip_for_moviepy
from overlays.render.preview import even_size

if TYPE_CHECKING:
    from moviepy import VideoClip, VideoFileClip

__all__ = ["FOOTAGE_ENDINGS", "footage_files", "preview_over_footage"]

# Left alone, FFmpeg converts with BT.601 and does not say so.
_BT709 = (
    "scale=in_range=full:out_color_matrix=bt709:out_range=limited,"
    "setparams=color_primaries=bt709:color_trc=bt709:colorspace=bt709:range=limited"
)
FOOTAGE_ENDINGS = (".mp4", ".mov", ".mkv", ".m4v", ".avi", ".webm", ".mts")


def footage_files(session: Path) -> tuple[Path, ...]:
    """List the camera files in a session's folder ``footage``, in order of name.

    Links that lead out of the session, folders, pipes and devices are passed over.
    """
    folder = session / "footage"
    if not folder.is_dir():
        return ()
    files = (file for file in folder.iterdir() if file.suffix.lower() in FOOTAGE_ENDINGS)
    shown = (file for file in files if not file.name.startswith(".") and file.is_file())
    home = session.resolve()
    return tuple(sorted(file for file in shown if file.resolve().is_relative_to(home)))


def preview_over_footage(
    clip: Clip, footage: Path, target: Path, *, from_s: Fraction | float = 0
) -> None:
    """Lay a clip's cue, without its handles, over footage, and write both with the sound.

    Parameters
    ----------
    clip : Clip
        What to show, usually planned at half the size; the film has its size and rate. Footage of
        another shape is shown whole, on black.
    footage : Path
        The camera file.
    target : Path
        An ``.mp4`` file.
    from_s : Fraction or float
        Where in the footage the cue begins. Where the footage ends before the cue, the film is
        black and silent from there on.

    Raises
    ------
    FootageError
        If the footage cannot be read.
    RenderError
        If it ends before `from_s`, or the film cannot be written.
    WorkError
        If the target cannot be written.
    """
    if target.suffix.lower() != ".mp4":
        raise RenderError(
            f"a film over footage is an .mp4 file, found {target.name!r}.",
            code="unknown-preview",
            field="out",
            remedy="Name the file .mp4.",
        )
    from moviepy import CompositeVideoClip

    stage = clip.stage
    overlay = clip_for_moviepy(clip)
    camera = _opened(footage, stage.width, stage.height)
    try:
        behind = _stretch(camera, footage, float(from_s), overlay.duration)
        pictures = [behind.with_position("center"), overlay]
        film = CompositeVideoClip(pictures, size=even_size(clip))
        film = film.with_duration(overlay.duration)
        with written_whole(target) as part, scratch_folder(target.parent) as scratch:
            _write(film, part, float(stage.rate), sound=behind.audio is not None, scratch=scratch)
    finally:
        camera.close()


def _opened(footage: Path, width: int, height: int) -> VideoFileClip:
    """Open footage, scaled by FFmpeg to fit the canvas whole."""
    from moviepy import VideoFileClip

    # moviepy's FFmpeg takes playlists and descriptions of streams for films too.
    with opened_film(footage):
        pass
    try:
        with VideoFileClip(program_name(footage), audio=False) as looked_at:
            wide, high = looked_at.size
        share = min(width / wide, height / high)
        fitted = (max(2, round(wide * share)), max(2, round(high * share)))
        return VideoFileClip(program_name(footage), target_resolution=fitted)
    except (OSError, KeyError, IndexError, ValueError, ZeroDivisionError) as error:
        # What moviepy raises for a file that is no film differs with what is wrong in it.
        raise unreadable_film(footage, "FFmpeg finds no pictures in it") from error


def _stretch(camera: VideoFileClip, footage: Path, from_s: float, seconds: float) -> VideoClip:
    if not 0 <= from_s < camera.duration:
        raise RenderError(
            f"the footage lasts {camera.duration:.2f} s; the cue would begin at {from_s:.2f} s.",
            code="footage-too-short",
            file=footage.name,
            remedy="Start earlier in the footage, or use another file.",
        )
    return camera.subclipped(from_s, min(camera.duration, from_s + seconds))


def _write(film: VideoClip, part: Path, rate: float, *, sound: bool, scratch: Path) -> None:
    try:
        film.write_videofile(
            str(part),
            fps=rate,
            codec="libx264",
            preset="ultrafast",
            audio=sound,
            audio_codec="aac",
            temp_audiofile=str(scratch / "sound.m4a"),
            pixel_format="yuv420p",
            ffmpeg_params=["-crf", "18", "-movflags", "+faststart", "-vf", _BT709],
            logger=None,
        )
    except OSError as error:
        if error.errno is not None:
            raise
        # moviepy puts FFmpeg's whole output into an error without a number.
        raise RenderError(
            f"the film cannot be written: {str(error).strip().splitlines()[-1]}",
            code="film-failed",
            remedy="Try without the footage, or another file.",
        ) from error
