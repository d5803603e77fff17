"""The manifest held to itself: claims that cannot all be true."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from pathlib import PurePosixPath

from overlays.errors import TimecodeError, TurnoverError
from overlays.model.clip import CODECS
from overlays.model.filename import refuse_file_name
from overlays.model.plain_text import clean_text
from overlays.timecode import Timebase
from overlays.turnover.manifest import CLIPS_FOLDER, MANIFEST_FILE, Manifest, ManifestClip

__all__ = ["REMEDY", "claim_faults"]

REMEDY = "Make the turnover again with the command 'episode'."


def claim_faults(manifest: Manifest) -> Iterator[TurnoverError]:
    """Find what is wrong with a manifest without looking at any file.

    Yields
    ------
    TurnoverError
        With the key in ``field``.
    """
    try:
        timebase = manifest.timebase
    except TimecodeError as error:
        yield _fault("rate", error.message)
        return
    for key in ("cue", "file"):
        values = Counter(getattr(clip, key).casefold() for clip in manifest.clips)
        for value, count in values.items():
            if count > 1:
                yield _fault("clips", f"{count} clips have the {key} {clean_text(value)!r}")
    for index, clip in enumerate(manifest.clips):
        for field, what in _clip_faults(manifest, timebase, clip):
            yield _fault(f"clips.{index}.{field}", what)


def _clip_faults(
    manifest: Manifest, timebase: Timebase, clip: ManifestClip
) -> Iterator[tuple[str, str]]:
    if (why := _file_fault(clip)) is not None:
        yield "file", why
    if clip.rate != manifest.rate:
        yield "rate", f"found {clip.rate!r}, the timeline has {manifest.rate!r}"
    if (clip.width, clip.height) != manifest.canvas:
        size = f"{clip.width}x{clip.height}"
        yield "width", f"found {size}, the canvas is {manifest.canvas[0]}x{manifest.canvas[1]}"
    if clip.cue_frames < 1:
        yield "frames", f"{clip.frames} frames leave none for the cue between handles"
    if clip.file_first_frame < 0:
        yield "handles", "the file would begin before timecode zero"
    try:
        frame = timebase.frame(clip.record_in)
    except TimecodeError as error:
        yield "record_in", error.message
        return
    if frame != clip.first_frame:
        yield "record_in", f"{clip.record_in} is frame {frame}, not {clip.first_frame}"


def _file_fault(clip: ManifestClip) -> str | None:
    """Say what is wrong with a clip's path or codec; None where nothing is."""
    if clip.codec not in CODECS:
        return f"codec {clean_text(clip.codec)!r} is not known; expected {', '.join(CODECS)}"
    folder, _, name = clip.file.partition("/")
    if folder != CLIPS_FOLDER:
        return f"{clean_text(clip.file)!r} does not lie in the folder {CLIPS_FOLDER!r}"
    if (why := refuse_file_name(name)) is not None:
        return f"the name {clean_text(name)!r} {why}"
    if CODECS[clip.codec] and PurePosixPath(name).suffix != CODECS[clip.codec]:
        return f"{name!r} does not end in {CODECS[clip.codec]!r} as {clip.codec} does"
    return None


def _fault(field: str, what: str) -> TurnoverError:
    return TurnoverError(
        f"{what.rstrip('.')}.",
        code="manifest-contradiction",
        file=MANIFEST_FILE,
        field=field,
        remedy=REMEDY,
    )
