"""A clip seen by the FFmpeg program that imageio-ffmpeg ships: another build, told apart from ours.

Its own conversions and defaults are used on purpose: it reads a clip as its tags say, as an editing
program would.
"""

from __future__ import annotations

import re
import subprocess
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from overlays.checks.probe import png_files, unreadable
from overlays.draw.patch import Pixels
from overlays.films import FORMATS, program_name

__all__ = ["SecondProbe", "second_decode", "second_probe"]

_PROBE_S = 120
_STREAM = re.compile(
    r"Stream #0:\d+[^:]*: Video: (?P<codec>\w+)[^,]*(?: \([^)]*\))*, (?P<format>\w+)"
    r"(?:\((?P<tags>[^)]*)\))?, (?P<width>\d+)x(?P<height>\d+).*?, (?P<fps>[\d.]+k?) fps"
)
_TIMECODE = re.compile(r"^\s*timecode\s*: (\S+)", re.IGNORECASE | re.MULTILINE)


@dataclass(frozen=True, slots=True)
class SecondProbe:
    """What the other program says of a clip.

    Parameters
    ----------
    codec, pixel_format : str
        Its names; VP9's format is told without the alpha that lies beside the pictures.
    tags : tuple of str
        Range, matrix or one word for all three colour tags, and field order, as it prints them.
    width, height : int
        In pixels.
    fps : str
        Frames per second, rounded as it prints them.
    timecode : str or None
        Label of the first frame.
    frames : int
        Counted.
    """

    codec: str
    pixel_format: str
    tags: tuple[str, ...]
    width: int
    height: int
    fps: str
    timecode: str | None
    frames: int


def _command(path: Path, *, output: dict[str, str | int], codec: str = "") -> list[str]:
    import ffmpeg
    import imageio_ffmpeg

    source: dict[str, str | int] = {"format_whitelist": FORMATS, "protocol_whitelist": "file"}
    if codec == "vp9":
        source["c:v"] = "libvpx-vp9"
    name = program_name(path)
    if path.is_dir():
        source |= {
            "f": "image2",
            "format_whitelist": "image2",
            "start_number": int(png_files(path)[0].stem),
        }
        name = f"{name.replace('%', '%%')}/%06d.png"
    built = ffmpeg.input(name, **source).output(
        "pipe:", map="0:v:0", fps_mode="passthrough", **output
    )
    command: list[str] = built.global_args("-hide_banner", "-nostdin").compile(
        cmd=imageio_ffmpeg.get_ffmpeg_exe()
    )
    return command


def second_probe(path: Path) -> SecondProbe:
    """Ask the other program what a clip is; frames are counted without decoding them.

    Raises
    ------
    TurnoverError
        If it cannot read the clip.
    """
    command = _command(path, output={"c": "copy", "f": "framecrc"})
    done = subprocess.run(
        command, capture_output=True, text=True, errors="replace", check=False, timeout=_PROBE_S
    )
    match = _STREAM.search(done.stderr)
    if done.returncode != 0 or match is None:
        raise unreadable(path, _last_line(done.stderr))
    timecode = _TIMECODE.search(done.stderr)
    return SecondProbe(
        codec=match["codec"],
        pixel_format=match["format"],
        tags=tuple((match["tags"] or "").split(", ")),
        width=int(match["width"]),
        height=int(match["height"]),
        fps=match["fps"],
        timecode=timecode[1] if timecode else None,
        frames=sum(not line.startswith("#") for line in done.stdout.splitlines()),
    )


def second_decode(path: Path, probed: SecondProbe) -> Iterator[Pixels]:
    """Decode a clip with the other program, lazily.

    Parameters
    ----------
    path : Path
        The clip.
    probed : SecondProbe
        What `second_probe` said of it.

    Yields
    ------
    ndarray of shape (H, W, 4)
        Straight RGBA as that program converts it: its alpha may be one off.

    Raises
    ------
    TurnoverError
        If it stops with an error.
    """
    shape = (probed.height, probed.width, 4)
    size = probed.width * probed.height * 4
    output: dict[str, str | int] = {"f": "rawvideo", "pix_fmt": "rgba", "v": "error"}
    command = _command(path, output=output, codec=probed.codec)
    with tempfile.TemporaryFile() as complaints:
        process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=complaints)
        try:
            assert process.stdout is not None  # noqa: S101 (a pipe was asked for)
            while len(data := process.stdout.read(size)) == size:
                yield np.frombuffer(data, np.uint8).reshape(shape)
            failed = process.wait() != 0 or bool(data)
        finally:
            # Whoever stops early leaves the program writing into a pipe nobody reads.
            process.kill()
            process.communicate()
        if failed:
            complaints.seek(0)
            raise unreadable(path, _last_line(complaints.read().decode(errors="replace")))


def _last_line(text: str) -> str:
    lines = [line.strip() for line in text.splitlines() if line.strip()]
    return lines[-1] if lines else "the other decoder gave no reason"
