"""Clip files against what the manifest claims of them."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from pathlib import Path

from overlays.checks.decode_back import Expected, judge_ends, judge_probe
from overlays.checks.decoding import decode
from overlays.checks.findings import Finding
from overlays.checks.probe import ClipProbe, decoder_for, opened, png_files, probe, unreadable
from overlays.errors import TurnoverError
from overlays.timecode import Timebase
from overlays.turnover.manifest import ManifestClip

__all__ = ["media_faults"]


def media_faults(file: Path, clip: ManifestClip, timebase: Timebase) -> Iterator[str]:
    """Decode a clip's file to its end and tell where it is not what the manifest claims.

    Parameters
    ----------
    file : Path
        The file, or folder of numbered pictures.
    clip : ManifestClip
        What is claimed.
    timebase : Timebase
        Of the timeline.

    Yields
    ------
    str
        What was found and what is expected, as a sentence.
    """
    try:
        found = probe(file)
        yield from _failed(judge_probe(found, _expected(clip, timebase)))
        if found.frames > clip.frames:
            return  # told already, and nobody needs to wait for so many
        decoded = _decoded_frames(file, found)
        if decoded != found.frames:
            yield f"of its {found.frames} frames {decoded} can be decoded."
        elif decoded == clip.frames:
            yield from _failed(_ends(file, clip))
    except TurnoverError as error:
        yield error.message


def _expected(clip: ManifestClip, timebase: Timebase) -> Expected:
    return Expected(
        codec=clip.codec,
        width=clip.width,
        height=clip.height,
        frames=clip.frames,
        rate=timebase.rate,
        timecode=timebase.label(clip.file_first_frame),
    )


def _failed(findings: tuple[Finding, ...]) -> Iterator[str]:
    return (finding.message for finding in findings if finding.verdict == "fail")


def _decoded_frames(file: Path, found: ClipProbe) -> int:
    """Decode everything, without looking at it, and count what comes out."""
    if file.is_dir():
        return sum(_is_whole(picture, found) for picture in png_files(file))
    with opened(file) as (container, stream):
        stream.thread_type = "AUTO"
        decoder = decoder_for(stream)
        alone, seen, count = stream.codec_context.codec.intra_only, set[bytes](), 0
        for packet in container.demux(stream):
            # A hold is the same packet again, and one that stands alone decodes as it did before.
            mark = hashlib.sha256(packet).digest() if alone and packet.size else b""
            if mark in seen:
                count += 1
                continue
            count += len(decoder.decode(packet))
            if mark:
                seen.add(mark)
        return count


def _is_whole(file: Path, found: ClipProbe) -> bool:
    from PIL import Image

    try:
        with Image.open(file, formats=["PNG"]) as picture:
            if picture.size != (found.width, found.height):
                return False  # and is not unpacked: it may be a bomb
            picture.load()
    except (OSError, SyntaxError, Image.DecompressionBombError) as error:
        raise unreadable(file, f"{file.name}: {error}") from error
    return bool(
        picture.mode.lower() == found.pixel_format and picture.size == (found.width, found.height)
    )


def _ends(file: Path, clip: ManifestClip) -> tuple[Finding, ...]:
    wanted = (0, clip.frames - 1 - clip.handles[1], clip.frames - 1)
    frames = {number: pixels.copy() for number, pixels in decode(file, only=wanted)}
    return judge_ends(frames, handles=clip.handles, count=clip.frames, codec=clip.codec)
