"""Timeline, edit lists, captions and tables against the manifest."""

from __future__ import annotations

import csv
import html
import io
import itertools
import json
import re
from collections.abc import Callable, Iterator, Mapping
from decimal import Decimal
from pathlib import Path
from typing import Any
from urllib.parse import unquote

import opentimelineio as otio
import pysubs2

from overlays.errors import Problems, TurnoverError
from overlays.model.plain_text import clean_text
from overlays.scoring.figures import MISSING
from overlays.session.stored import stored_bytes
from overlays.turnover.captions import descriptions
from overlays.turnover.claims import REMEDY
from overlays.turnover.edl import edl_names, read_edl
from overlays.turnover.manifest import Manifest, ManifestClip

__all__ = ["LISTS", "disagreements"]

Check = Callable[[str, Manifest], Iterator[str]]
_LARGEST = 50_000_000  # bytes of a list
_NUMBER = re.compile(r"-?\d{1,15}(\.\d{1,10})?")
Place = tuple[int, int]  # first frame of the cue on the timeline, frames


def disagreements(folder: Path, manifest: Manifest, problems: Problems) -> None:
    """Hold every list of a turnover to its manifest.

    Parameters
    ----------
    folder : Path
        The turnover.
    manifest : Manifest
        What it claims; sound in itself (`overlays.turnover.claims`).
    problems : Problems
        Receives an error for each file that is missing, cannot be read or says something else.
    """
    for name, check in _CHECKS.items():
        with problems.collecting(file=name):
            for what in _found(check, _text(folder, name), manifest):
                _tell(problems, name, what)
    _edit_list_faults(folder, manifest, problems)


def _found(check: Check, text: str, manifest: Manifest) -> list[str]:
    """Run a check; what a library cannot make sense of is a finding too."""
    try:
        return list(check(text, manifest))
    except RecursionError:
        return ["it cannot be read: it is nested too deeply"]
    except (ValueError, csv.Error, otio.exceptions.OTIOError, pysubs2.Pysubs2Error) as error:
        return [f"it cannot be read: {error}"]


def _text(folder: Path, name: str) -> str:
    try:
        path = folder / name
        if path.is_symlink():
            raise _fault(name, "it is a link, and may lead out of the folder", code="linked-file")
        stored = stored_bytes(path, largest=_LARGEST, file=name, raises=TurnoverError)
        return stored.decode("utf-8-sig")
    except FileNotFoundError as error:
        raise _fault(name, "it is missing", code="missing-file") from error
    except (OSError, UnicodeDecodeError) as error:
        raise _fault(name, f"it cannot be read: {error}", code="unreadable-file") from error


def _tell(problems: Problems, name: str, what: str) -> None:
    problems.found.extend(_fault(name, what).problems())


def _fault(name: str, what: str, *, code: str = "turnover-disagrees") -> TurnoverError:
    return TurnoverError(f"{clean_text(what)}.", code=code, file=name, remedy=REMEDY)


def _timeline_faults(text: str, manifest: Manifest) -> Iterator[str]:
    # OpenTimelineIO's reader overruns the stack on JSON nested too deeply; Python's says so.
    json.loads(text)
    try:
        read = otio.adapters.read_from_string(text, "otio_json")
    except (KeyError, TypeError) as error:
        yield f"OpenTimelineIO cannot make sense of it: {error}"
        return
    if not isinstance(read, otio.schema.Timeline) or read.global_start_time is None:
        yield "it is no timeline with a start time"
        return
    start, rate = read.global_start_time, float(manifest.frame_rate)
    listed = {clip.cue: clip for clip in manifest.clips}
    found: dict[str, Place] = {}
    for clip in read.find_clips():
        placed = clip.transformed_time_range(clip.trimmed_range(), read.tracks)
        if {placed.start_time.rate, placed.duration.rate, start.rate} != {rate}:
            yield f"clip {clip.name!r} has another rate than {manifest.rate}"
        first = placed.start_time + start
        found[clip.name] = (round(first.value), round(placed.duration.value))
        if clip.name in listed:
            yield from _media_faults(clip, listed[clip.name])
    yield from _place_faults(found, manifest.clips)


def _media_faults(clip: Any, listed: ManifestClip) -> Iterator[str]:  # noqa: ANN401 (untyped library)
    media = clip.media_reference
    url = str(getattr(media, "target_url", "") or getattr(media, "target_url_base", ""))
    if unquote(url).rstrip("/") != listed.file:
        yield f"clip {listed.cue!r} refers to {url!r}, not {listed.file!r}"
    whole = media.available_range
    expected = (listed.file_first_frame, listed.frames)
    if whole is None or (whole.start_time.value, whole.duration.value) != expected:
        yield f"clip {listed.cue!r} does not have the whole file available"
    elif clip.trimmed_range().start_time.value != listed.first_frame:
        yield f"clip {listed.cue!r} does not begin after its handle"


def _place_faults(found: Mapping[str, Place], clips: tuple[ManifestClip, ...]) -> Iterator[str]:
    expected = {clip.cue: (clip.first_frame, clip.cue_frames) for clip in clips}
    for cue, (first, frames) in expected.items():
        if cue not in found:
            yield f"clip {cue!r} is missing"
        elif found[cue] != (first, frames):
            yield (
                f"clip {cue!r} begins at frame {found[cue][0]} and has {found[cue][1]} frames; "
                f"the manifest says {first} and {frames}"
            )
    for cue in found:
        if cue not in expected:
            yield f"clip {cue!r} is not in the manifest"


def _edit_list_faults(folder: Path, manifest: Manifest, problems: Problems) -> None:
    by_file = {clip.file.rpartition("/")[2]: clip.cue for clip in manifest.clips}
    found: dict[str, Place] = {}
    reels: dict[str, str] = {}
    for name in edl_names(manifest):
        with problems.collecting(file=name):
            read = read_edl(_text(folder, name), manifest.frame_rate, problems, file=name)
            if manifest.clips and read.timebase != manifest.timebase:
                _tell(problems, name, "it counts frames another way than the manifest")
            for event in read.events:
                cue = by_file.get(event.clip_name or "", f"{event.clip_name} in {name}")
                found[cue] = (event.record_in, event.record_frames)
                if event.source_in != event.record_in:
                    _tell(problems, name, f"event {event.number} does not begin after its handle")
                if reels.setdefault(event.reel, cue) != cue:
                    _tell(problems, name, f"reel {event.reel!r} stands for two clips")
    # Where a list is missing, so is all that is in it, and once is enough.
    if all((folder / name).exists() for name in edl_names(manifest)):
        for what in _place_faults(found, manifest.clips):
            _tell(problems, edl_names(manifest)[0], what)


def _caption_faults(text: str, _: Manifest) -> Iterator[str]:
    events = _events(text)
    if isinstance(events, str):
        yield events
        return
    for before, after in itertools.pairwise(events):
        if after[0] < before[1]:
            yield f"the caption at {after[0]} ms begins before the one in front of it ends"


def _description_faults(text: str, manifest: Manifest) -> Iterator[str]:
    events = _events(text)
    if isinstance(events, str):
        yield events
        return
    described = descriptions(manifest)
    if len(events) != len(described):
        yield f"it describes {len(events)} overlays; the manifest has {len(described)}"
    words = html.unescape(text)
    for caption in described:
        if caption.lines[0] not in words:
            yield f"it does not say {caption.lines[0][:80]!r}, as the manifest does"


def _events(text: str) -> list[tuple[int, int]] | str:
    """Return start and end of every caption in milliseconds, or what is wrong."""
    if not text.startswith("WEBVTT"):
        return "it does not begin with WEBVTT"
    events = [(e.start, e.end) for e in pysubs2.SSAFile.from_string(text, format_="vtt").events]
    if len(events) != text.count("-->"):
        return "not every '-->' stands between two times"
    bad = next((start for start, end in events if end <= start), None)
    return events if bad is None else f"the caption at {bad} ms ends before it begins"


def _chapter_faults(text: str, _: Manifest) -> Iterator[str]:
    last = -1
    for number, line in enumerate(text.splitlines(), start=1):
        clock = line.partition(" ")[0].split(":")
        if not all(part.isascii() and part.isdigit() for part in clock) or len(clock) not in (2, 3):
            yield f"line {number} does not begin with a time"
            return
        elapsed = sum(int(part) * 60**power for power, part in enumerate(reversed(clock)))
        if elapsed <= last or (number == 1 and elapsed):
            yield f"line {number} does not follow: chapters begin at 00:00 and rise"
        last = elapsed


def _table_faults(text: str, _: Manifest) -> Iterator[str]:
    rows = list(csv.reader(io.StringIO(text)))
    if not rows:
        yield "it is empty"
    elif any(len(row) != len(rows[0]) for row in rows):
        yield "its rows have different numbers of cells"


def _figure_faults(text: str, manifest: Manifest) -> Iterator[str]:
    yield from _table_faults(text, manifest)
    rows = csv.DictReader(io.StringIO(text))
    if not {"figure", "entry"} <= set(rows.fieldnames or ()):
        yield "it has no columns 'figure' and 'entry'"
        return
    known: set[str] = set()
    for row in rows:
        known.add(f"{row['figure']}.{row['entry']}")
        # The value of a figure is that of one of its repeats, the median run's.
        value, repeats = row.get("value"), (row.get("repeats") or "").split()
        if repeats and value not in repeats:
            yield (
                f"{row['figure']} of {row['entry']} is {value}; none of its repeats is: "
                f"{' '.join(repeats)}"
            )
    for clip in manifest.clips:
        for figure in clip.figures:
            if figure not in known:
                yield f"clip {clip.cue!r} shows the figure {figure!r}, which is not in the table"


def _standings_faults(text: str, manifest: Manifest) -> Iterator[str]:
    yield from _table_faults(text, manifest)
    for row in itertools.islice(csv.reader(io.StringIO(text)), 1, None):
        # Rank now and before, the entry, its points, and their sum.
        points = [Decimal(cell) for cell in row[3:-1] if _NUMBER.fullmatch(cell)]
        total = f"{sum(points, Decimal(0)):f}" if points else MISSING
        if len(row) > 3 and row[-1] != total:
            yield f"the points of {row[2][:60]!r} make {total}; its score is {row[-1][:40]!r}"


def _text_faults(text: str, _: Manifest) -> Iterator[str]:
    if not text.strip():
        yield "it is empty"


def _page_faults(text: str, manifest: Manifest) -> Iterator[str]:
    if not text.startswith("<!DOCTYPE html>") or "<script" in text.casefold():
        yield "it is not the page that was written: it runs scripts or is no page"
    for clip in manifest.clips:
        if clip.record_in not in text:
            yield f"it does not show the clip at {clip.record_in}"


_CHECKS: Mapping[str, Check] = {
    "timeline.otio": _timeline_faults,
    "captions.vtt": _caption_faults,
    "descriptions.vtt": _description_faults,
    "chapters.txt": _chapter_faults,
    "figures.csv": _figure_faults,
    "standings.csv": _standings_faults,
    "beats.csv": _table_faults,
    "results.txt": _text_faults,
    "review.html": _page_faults,
}
LISTS = tuple(_CHECKS)
"""Names of the files beside the manifest and the edit lists."""
