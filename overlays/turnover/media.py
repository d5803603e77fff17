"""Clip files against what the manifest claims of them."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from overlays.checks.decode_back import Expected, judge_ends, judge_probe
from overlays.checks.findings import Finding, placed
from overlays.checks.judge_file import FileWatch, judge_shown, watch_file
from overlays.checks.probe import ClipProbe, opened_picture, png_files, probe
from overlays.errors import TurnoverError
from overlays.timecode import Timebase
from overlays.turnover.manifest import ManifestClip

__all__ = ["media_faults"]


def media_faults(file: Path, clip: ManifestClip, timebase: Timebase) -> Iterator[str | Finding]:
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
    str or Finding
        What was found and what is expected, as a sentence; and what the checks find of a whole
        clip's pictures, passes too, with cue and timecode.
    """
    try:
        found = probe(file)
        yield from _failed(judge_probe(found, _expected(clip, timebase)))
        if found.frames > clip.frames:
            return  # told already, and nobody needs to wait for so many
        decoded, seen = _decoded(file, found, clip, timebase)
        if decoded != found.frames:
            yield f"of its {found.frames} frames {decoded} can be decoded."
        elif seen is not None and decoded == clip.frames:
            for finding in (*_ends(seen, clip), *judge_shown(file, seen, rate=timebase.rate)):
                yield placed(
                    finding, cue=clip.cue, timebase=timebase, file_first_frame=clip.file_first_frame
                )
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


def _decoded(
    file: Path, found: ClipProbe, clip: ManifestClip, timebase: Timebase
) -> tuple[int, FileWatch | None]:
    """Decode everything; return how many frames came out, and what was seen of them."""
    if file.is_dir():
        whole = sum(_is_whole(picture, found) for picture in png_files(file))
        if whole != found.frames:
            return whole, None
    final = clip.frames - 1 - clip.handles[1]
    wanted = (0, (clip.handles[0] + final) // 2, final, clip.frames - 1)
    seen = watch_file(file, rate=timebase.rate, keep=wanted)
    return seen.frames, seen


def _is_whole(file: Path, found: ClipProbe) -> bool:
    with opened_picture(file) as picture:
        if picture.size != (found.width, found.height):
            return False  # and is not unpacked
        picture.load()
    return bool(
        picture.mode.lower() == found.pixel_format and picture.size == (found.width, found.height)
    )


def _ends(seen: FileWatch, clip: ManifestClip) -> tuple[Finding, ...]:
    frames = {number: pixels for number, (pixels, _) in seen.kept.items()}
    return judge_ends(
        frames, handles=clip.handles, count=clip.frames, codec=clip.codec, leaves=clip.leaves
    )
