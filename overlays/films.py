"""Films from elsewhere: which files are opened as one, and how.

FFmpeg takes far more than films. A playlist called ``bench.mov`` would make it read other files, a
session description listen on the network, and a name such as ``concat:a`` is a protocol to it.
Whoever hands a film to PyAV or to the FFmpeg program comes through here first.
"""

from __future__ import annotations

import errno
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from overlays.errors import FootageError

if TYPE_CHECKING:
    from av.audio.stream import AudioStream
    from av.container import InputContainer

__all__ = [
    "FORMATS",
    "MOST_PIXELS",
    "film_container",
    "opened_film",
    "program_name",
    "sound_track",
    "unreadable_film",
]

# Containers that hold pictures and sound themselves. References to other files, which QuickTime
# knows too, are not followed unless FFmpeg is told to ("enable_drefs").
FORMATS = "mov,mp4,m4a,3gp,3g2,mj2,matroska,webm,avi,mpegts,wav"
MOST_PIXELS = 100_000_000  # a frame of three times 8K: 300 MB as RGB


def film_container(path: Path) -> InputContainer:
    """Open a file with PyAV, and no other file or address through it.

    Parameters
    ----------
    path : Path
        The file.

    Returns
    -------
    av.container.InputContainer
        To be closed by the caller.

    Raises
    ------
    av.FFmpegError
        If it is none of `FORMATS`, or damaged.
    OSError
        If it is no plain file, cannot be read, has pictures that nothing here decodes, or frames
        larger than `MOST_PIXELS`.
    """
    import av

    if path.exists() and not path.is_file():
        raise OSError(errno.EINVAL, "it is no plain file")
    options = {"format_whitelist": FORMATS, "protocol_whitelist": "file"}
    # Cameras write notes in encodings of their own.
    container = av.open(program_name(path), options=options, metadata_errors="replace")
    for stream in container.streams.video:
        if stream.codec_context is None and stream is not container.streams.video[0]:
            continue  # a camera's own use of it
        if stream.codec_context is None:
            container.close()
            raise OSError(errno.EINVAL, "its pictures are stored in a way that is not known")
        width, height = stream.codec_context.width, stream.codec_context.height
        if width * height > MOST_PIXELS:
            container.close()
            most = f"{MOST_PIXELS // 10**6} million pixels at most"
            raise OSError(errno.EFBIG, f"its frames are {width} x {height}; expected {most}")
    return container


@contextmanager
def opened_film(path: Path) -> Iterator[InputContainer]:
    """Open a camera file with PyAV; see `film_container`.

    Parameters
    ----------
    path : Path
        The file.

    Yields
    ------
    av.container.InputContainer
        With the streams it holds, pictures or sound.

    Raises
    ------
    FootageError
        If it is not there (``no-footage``) or cannot be read as a film (``unreadable-footage``);
        also for errors of FFmpeg's that are raised while it is open.
    """
    import av

    if not path.is_file():
        raise FootageError(
            "there is no such file.",
            code="no-footage",
            file=path.name,
            remedy="Name a camera file, such as footage/camera.mp4.",
        )
    try:
        with film_container(path) as container:
            yield container
    except (av.FFmpegError, OSError) as error:
        raise unreadable_film(path, error.strerror or type(error).__name__) from error


def sound_track(container: InputContainer) -> AudioStream | None:
    """Return the first sound track that can be decoded; cameras add tracks of their own kinds."""
    known = (track for track in container.streams.audio if track.codec_context is not None)
    return next(known, None)


def unreadable_film(path: Path, why: str) -> FootageError:
    """Return the error for a camera file that cannot be read."""
    return FootageError(
        f"{path.name!r} cannot be read as a film: {why[:1].lower()}{why[1:200].rstrip('.')}.",
        code="unreadable-footage",
        file=path.name,
        remedy="Check that it plays and holds its pictures itself, or convert it to MP4.",
    )


def program_name(path: Path) -> str:
    """Return a file's name as FFmpeg takes it for a file, whatever it is called."""
    return f"file:{path.resolve()}"
