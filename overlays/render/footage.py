"""A film of an overlay over camera footage, with its sound, by moviepy."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from overlays.errors import RenderError
from overlays.files import scratch_folder, written_whole
from overlays.footage.clock import read_clock
from overlays.footage.pictures import opened_pictures, sound_of
from overlays.model.clip import Clip
from overlays.render.moviepy_clip import clip_for_moviepy
from overlays.render.preview import even_size

if TYPE_CHECKING:
    from moviepy import VideoClip

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
    clip: Clip,
    footage: Path,
    target: Path,
    *,
    from_s: Fraction | float = 0,
    times_s: Sequence[float] | None = None,
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
        Where in the footage the cue begins. Where the footage begins after the cue, or ends before
        it, the film is black and silent.
    times_s : sequence of float, optional
        The time in the footage at each frame of the cue, where it does not pass as time does; the
        film is then silent.

    Raises
    ------
    FootageError
        If the footage cannot be read.
    RenderError
        If the footage ends before `from_s`, or the film cannot be written.
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
    from moviepy import AudioArrayClip, CompositeVideoClip, VideoClip

    clock = read_clock(footage)
    start_s, rate = float(from_s), float(clip.stage.rate)
    if start_s >= clock.length_s:
        raise RenderError(
            f"the footage lasts {clock.length_s:.2f} s; the cue would begin at {start_s:.2f} s.",
            code="footage-too-short",
            file=footage.name,
            remedy="Start earlier in the footage, or use another file.",
        )
    overlay = clip_for_moviepy(clip)
    heard = None
    if times_s is None:
        heard = sound_of(footage, clock, start_s, overlay.duration)
    with opened_pictures(footage, clock, clip.stage.width, clip.stage.height) as pictures:

        def picture(time_s: float) -> NDArray[np.uint8]:
            if times_s is None:
                return pictures.at(start_s + time_s)
            return pictures.at(times_s[min(round(time_s * rate), len(times_s) - 1)])

        behind = VideoClip(frame_function=picture, duration=overlay.duration)
        if heard is not None:
            behind = behind.with_audio(AudioArrayClip(heard[0], fps=heard[1]))
        film = CompositeVideoClip([behind.with_position("center"), overlay], size=even_size(clip))
        film = film.with_duration(overlay.duration)
        with written_whole(target) as part, scratch_folder(target.parent) as scratch:
            _write(film, part, rate, sound=heard is not None, scratch=scratch)


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
