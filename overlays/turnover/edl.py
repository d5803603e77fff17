"""The edit list: CMX 3600.

OpenTimelineIO's own CMX 3600 adapter reads our lists back in the tests. It does not write them: it
starts record times at zero whatever the timeline's start, counts 30000/1001 as drop-frame always,
and states no frame code mode. The format is small enough to be written here.

An edit list knows one video track. Overlays that share the screen go to one list a lane, and each
list says so.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from overlays.errors import Problems, TimecodeError, TurnoverError
from overlays.model.plain_text import clean_text
from overlays.timecode import Timebase
from overlays.turnover.lanes import lanes
from overlays.turnover.manifest import Manifest, ManifestClip
from overlays.turnover.reels import reels

__all__ = ["EditList", "Event", "edit_lists", "edl_names", "read_edl"]

MOST_EVENTS = 999  # an event number has three digits
_MOST_TITLE = 70  # common practice, no source
_DROP = {"DROP FRAME": True, "NON-DROP FRAME": False, "NON DROP FRAME": False}
_EVENT = re.compile(
    r"(?P<number>\d{1,6})\s+(?P<reel>\S+)\s+(?P<channel>\S+)\s+C\s+"
    r"(?P<labels>\S+\s+\S+\s+\S+\s+\S+)\s*"
)
_LABEL = re.compile(r"\d{2}:\d{2}:\d{2}([:;])(\d{2})")


@dataclass(frozen=True, slots=True)
class Event:
    """One cut of an edit list, in frames of its timebase.

    Parameters
    ----------
    number : str
        As written, such as ``"001"``.
    reel : str
        Where it comes from.
    source_in, source_out : int
        Part of the reel; the second frame number lies outside.
    record_in, record_out : int
        Place on the timeline; the second frame number lies outside.
    comments : tuple of str
        What follows it, the asterisks taken off.
    """

    number: str
    reel: str
    source_in: int
    source_out: int
    record_in: int
    record_out: int
    comments: tuple[str, ...] = ()

    @property
    def source_frames(self) -> int:
        """Frames taken from the reel."""
        return self.source_out - self.source_in

    @property
    def record_frames(self) -> int:
        """Frames covered on the timeline."""
        return self.record_out - self.record_in

    @property
    def clip_name(self) -> str | None:
        """The name after ``FROM CLIP NAME:``."""
        for comment in self.comments:
            if comment.startswith("FROM CLIP NAME:"):
                return comment.partition(":")[2].strip()
        return None


@dataclass(frozen=True, slots=True)
class EditList:
    """An edit list as read."""

    title: str
    timebase: Timebase
    events: tuple[Event, ...]


def edl_names(manifest: Manifest) -> tuple[str, ...]:
    """Return the names of the edit lists: ``timeline.edl``, then ``timeline_2.edl`` and so on."""
    return tuple(
        "timeline.edl" if number == 1 else f"timeline_{number}.edl"
        for number, _ in enumerate(_parts(manifest), start=1)
    )


def edit_lists(manifest: Manifest, timebase: Timebase) -> tuple[str, ...]:
    """Write the clips as edit lists: one a lane, more where a lane has over 999 events.

    Source times are the file's own timecode, handles left out, so source and record times of an
    event are the same labels.

    Returns
    -------
    tuple of str
        At least one; they go to the files of `edl_names`.

    Raises
    ------
    TimecodeError
        If a cue ends past 24 hours.
    """
    parts = _parts(manifest)
    names = reels(manifest.clips)
    return tuple(
        _edit_list(manifest, timebase, part, names, (number, len(parts)))
        for number, part in enumerate(parts, start=1)
    )


def _parts(manifest: Manifest) -> list[Sequence[ManifestClip]]:
    """Return the clips of each list; one without any where there are none."""
    found = [
        lane[first : first + MOST_EVENTS]
        for lane in lanes(manifest.clips)
        for first in range(0, len(lane), MOST_EVENTS)
    ]
    return [*found] or [()]


def _edit_list(
    manifest: Manifest,
    timebase: Timebase,
    clips: Sequence[ManifestClip],
    names: dict[str, str],
    place: tuple[int, int],
) -> str:
    number, count = place
    mode = "DROP FRAME" if timebase.drop else "NON-DROP FRAME"
    lines = [f"TITLE: {_ascii(manifest.session)[:_MOST_TITLE].rstrip()}", f"FCM: {mode}", ""]
    # Readers take comments only below an event, so what goes for the list stands in the first.
    about = [f"* COMMENT: {manifest.rate} FRAMES PER SECOND"]
    if count > 1:
        about.append(f"* COMMENT: EDIT LIST {number} OF {count}, EACH FOR A VIDEO TRACK OF ITS OWN")
    for index, clip in enumerate(clips, start=1):
        labels = f"{timebase.label(clip.first_frame)} {timebase.label(clip.end_frame)}"
        lines.append(f"{index:03}  {names[clip.cue]:8} {'V':5} C        {labels} {labels}")
        lines.append(f"* FROM CLIP NAME:  {clean_text(clip.file.rpartition('/')[2])}")
        lines.append(f"* SOURCE FILE: {clean_text(clip.file)}")
        lines.append(f"* COMMENT: CUE {clean_text(clip.cue)}, BEAT {clean_text(clip.beat)}")
        lines += [*about, ""]
        about = []
    return "\n".join(lines)


def _ascii(text: str) -> str:
    plain = unicodedata.normalize("NFKD", clean_text(text)).encode("ascii", "ignore").decode()
    return plain.strip() or "UNTITLED"


def read_edl(
    text: str, rate: Fraction, problems: Problems, *, file: str = "timeline.edl"
) -> EditList:
    """Read an edit list of cuts and hold every event to the rate and to itself.

    Parameters
    ----------
    text : str
        The list.
    rate : Fraction
        Frames per second; an edit list does not state its own.
    problems : Problems
        Receives an error for each event that does not fit: a label that does not exist at this
        rate, an end before its start, source and record of unequal lengths, an overlap with the
        event before.
    file : str
        Name for messages.

    Returns
    -------
    EditList
        With every event whose labels exist, the ones in error included.
    """
    title, drop, events = "", False, list[Event]()
    timebase = Timebase(rate)
    for line, content in enumerate(text.lstrip("\ufeff").splitlines(), start=1):
        written = content.strip()
        with problems.collecting(file=file, line=line):
            if written.startswith("TITLE:"):
                title = written.partition(":")[2].strip()
            elif written.startswith("FCM:"):
                drop = _mode(written)
                timebase = Timebase(rate, drop)
            elif written[:1].isdigit():
                event = _event(written, timebase)
                previous = events[-1] if events else None
                events.append(event)
                _hold_together(event, previous)
            elif written.startswith("*") and events:
                events[-1] = _commented(events[-1], written.lstrip("* ").strip())
            elif written and not written.startswith("*"):
                raise _refused(f"{clean_text(written)[:60]!r} is no part of an edit list of cuts")
    return EditList(title, timebase, tuple(events))


def _mode(written: str) -> bool:
    mode = written.partition(":")[2].strip()
    if mode not in _DROP:
        raise _refused(f"{clean_text(mode)!r} is no frame code mode")
    return _DROP[mode]


def _event(written: str, timebase: Timebase) -> Event:
    match = _EVENT.fullmatch(written)
    if match is None:
        raise _refused(f"{clean_text(written)[:80]!r} is no cut")
    number = match["number"]
    source_in, source_out, record_in, record_out = (
        _frame(label, timebase, number) for label in match["labels"].split()
    )
    return Event(number, match["reel"], source_in, source_out, record_in, record_out)


def _frame(label: str, timebase: Timebase, number: str) -> int:
    match = _LABEL.fullmatch(label)
    if match is None:
        raise _refused(f"event {number}: {clean_text(label)!r} is no timecode")
    mark, frames = match.groups()
    if mark == ";" and not timebase.drop:
        raise _refused(f"event {number}: {label!r} is drop-frame, the list says it is not")
    if int(frames) >= timebase.nominal:
        raise _refused(
            f"event {number}: frame {int(frames)} in {label!r} does not exist at "
            f"{timebase.rate} frames/s, which go to {timebase.nominal - 1}"
        )
    # Lists that say DROP FRAME once may write every label with colons.
    try:
        return timebase.frame(label, either_mark=True)
    except TimecodeError as error:
        raise _refused(f"event {number}: {error.message.rstrip('.')}") from error


def _hold_together(event: Event, previous: Event | None) -> None:
    if event.source_frames <= 0 or event.record_frames <= 0:
        raise _refused(f"event {event.number} ends before it begins")
    if event.source_frames != event.record_frames:
        raise _refused(
            f"event {event.number} takes {event.source_frames} frames from its source for "
            f"{event.record_frames} frames of record"
        )
    if previous is not None and event.record_in < previous.record_out:
        raise _refused(
            f"event {event.number} begins {previous.record_out - event.record_in} frames before "
            f"event {previous.number} ends"
        )


def _commented(event: Event, comment: str) -> Event:
    return replace(event, comments=(*event.comments, comment))


def _refused(what: str) -> TurnoverError:
    return TurnoverError(
        f"{what}.",
        code="bad-edit-list",
        remedy="Check the rate the list was made at, or make the turnover again.",
    )
