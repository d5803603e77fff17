"""A container file with one video stream: packets in, a file with a start timecode out.

Nothing that differs from run to run is written: no time of creation, no random ids. With the same
libraries, the same packets give the same file.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any, cast

import av
from av.packet import Packet
from av.video.stream import VideoStream

from overlays.errors import RenderError
from overlays.films import film_container
from overlays.render.codecs.base import FileSpec

__all__ = ["VideoFile", "packets_of"]

_BUFFER_BYTES = 1 << 20
_FORMATS = {".mov": "mov", ".webm": "webm", ".mkv": "matroska"}


class VideoFile:
    """A file being written, one packet a frame.

    Parameters
    ----------
    target : Path
        Its ending says which container.
    encoder : str
        libavcodec's name of the encoder.
    spec : FileSpec
        Rate and timecode; the size is for whoever sets up `stream`.

    Attributes
    ----------
    stream : av.video.stream.VideoStream
        To be set up before the first packet.
    """

    def __init__(self, target: Path, encoder: str, spec: FileSpec) -> None:
        options = {"fflags": "+bitexact"}
        form = _FORMATS[target.suffix.lower()]
        if form == "mov":
            # Lengths in the movie header count in these units; with the usual thousandths they
            # would be rounded at most rates.
            options["movie_timescale"] = str(spec.rate.numerator)
        # PyAV leaves a file of its own open where not even a header could be written.
        self._file = target.open("wb+", buffering=_BUFFER_BYTES)
        try:
            self._container = av.open(
                self._file, "w", format=form, container_options=options, buffer_size=_BUFFER_BYTES
            )
        except BaseException:
            self._file.close()
            raise
        self.stream = cast("VideoStream", self._container.add_stream(encoder, rate=spec.rate))
        self.stream.time_base = 1 / spec.rate
        self.stream.metadata["timecode"] = spec.timecode
        self._step = 1 / spec.rate
        self._count = 0

    def put(self, data: bytes | Packet[Any]) -> None:
        """Append the packet of the next frame; one given as bytes is a key frame."""
        packet = data if isinstance(data, Packet) else Packet(data)
        if packet is not data:
            packet.is_keyframe = True
        packet.stream = self.stream
        packet.time_base = self._step
        packet.pts = packet.dts = self._count
        packet.duration = 1
        self._container.mux(packet)
        self._count += 1

    def put_all(self, packets: Iterable[bytes]) -> None:
        """Append packets of key frames."""
        for data in packets:
            self.put(data)

    def put_parts(self, parts: Iterable[Path]) -> None:
        """Append the packets of files of the same stream, one after the other, as they are.

        Raises
        ------
        RenderError
            If one cannot be read.
        """
        for part in parts:
            for packet in packets_of(part):
                self.put(packet)

    def close(self) -> None:
        """Write the index and close."""
        self._container.close()
        self._file.close()

    def abandon(self) -> None:
        """Close after an error: the file is of no use, and the error matters more than another."""
        with suppress(av.FFmpegError, OSError):
            self._container.close()
        with suppress(OSError):
            self._file.close()


def packets_of(file: Path) -> Iterator[Packet[Any]]:
    """Read the packets of a file's video stream, side data included, without decoding.

    Raises
    ------
    RenderError
        If it cannot be read.
    """
    try:
        with film_container(file) as container:
            for packet in container.demux(container.streams.video[0]):
                if packet.size:
                    yield packet
    except (av.FFmpegError, OSError) as error:
        raise RenderError(
            f"{file.name!r} cannot be read back: {error.strerror}.",
            code="unreadable-part",
            remedy="Render the clip again.",
        ) from error
