"""Passages → drafts: blocks checked, times read, narration filled in; nothing placed yet."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from overlays.errors import OutlineError, Problems
from overlays.model.result import Results
from overlays.outline.anchors import ANCHOR_KEYS, DataEvent, Phrase, read_anchor
from overlays.outline.block import Block
from overlays.outline.naming import FreeIds, id_from_words, written_id
from overlays.outline.narration import Narration, fill
from overlays.outline.script import Passage
from overlays.outline.written import Place, read_length, read_place
from overlays.session.validation import closest
from overlays.timecode import Timebase

__all__ = ["BEAT_KEYS", "CUE_KEYS", "DraftBeat", "DraftCue", "Times", "draft_beats"]

BEAT_KEYS = ("in", "out", "length")
CUE_KEYS = ("id", "at", "out", "length", *ANCHOR_KEYS)


@dataclass(frozen=True, slots=True)
class Times:
    """Times as written in a block; None where they are not.

    Parameters
    ----------
    start : Place or None
        A beat's in-point, or where a cue begins.
    out : Place or None
        Where it ends.
    length : Fraction or None
        In exact frames.
    """

    start: Place | None = None
    out: Place | None = None
    length: Fraction | None = None


@dataclass(frozen=True, slots=True)
class DraftCue:
    """A cue as written; `anchor` is what it hangs on, None for its beat's in-point."""

    cue: str
    kind: str
    times: Times
    anchor: Phrase | DataEvent | None
    options: Mapping[str, Any]
    line: int
    lines: Mapping[str, int]


@dataclass(frozen=True, slots=True)
class DraftBeat:
    """A beat as written, its narration filled in."""

    beat: str
    title: str
    times: Times
    narration: Narration
    cues: tuple[DraftCue, ...]
    line: int


def draft_beats(
    passages: Sequence[Passage],
    results: Results,
    problems: Problems,
    *,
    timebase: Timebase,
    file: str,
) -> tuple[DraftBeat, ...]:
    """Read the blocks and narration of every passage; what is wrong goes to `problems`."""
    drafts: list[DraftBeat] = []
    ids = FreeIds()
    for passage in passages:
        beat = ids.take(id_from_words(passage.title))
        times = _beat_times(passage, problems, timebase, file)
        narration = fill(passage.texts, results, problems, file=file)
        cues = _cues(passage, beat, problems, timebase, file)
        drafts.append(DraftBeat(beat, passage.title, times, narration, cues, passage.line))
    _check_ids(drafts, problems, file)
    return tuple(drafts)


def _beat_times(passage: Passage, problems: Problems, timebase: Timebase, file: str) -> Times:
    blocks = [block for block in passage.blocks if block.kind == "beat"]
    for block in blocks[1:]:
        with problems.collecting(file=file, line=block.line):
            raise OutlineError(
                f"the beat {passage.title!r} has a second block 'beat'; the first is in line "
                f"{blocks[0].line}.",
                code="second-beat-block",
                remedy="Put its keys into the first.",
            )
    if not blocks:
        return Times()
    for key in blocks[0].values:
        if key not in BEAT_KEYS:
            with problems.collecting(file=file, line=blocks[0].line_of(key)):
                raise OutlineError(
                    f"a beat has no key {key!r}.",
                    code="unknown-key",
                    remedy=closest(key, BEAT_KEYS),
                )
    return _times(blocks[0], "in", problems, timebase, file)


def _times(
    block: Block, start_key: str, problems: Problems, timebase: Timebase, file: str
) -> Times:
    places: dict[str, Place] = {}
    length: Fraction | None = None
    for key in (start_key, "out"):
        with problems.collecting(file=file, line=block.line_of(key), field=key):
            if key in block.values:
                places[key] = read_place(block.values[key], timebase)
                _warn_mark(places[key], block.line_of(key), problems, timebase, file)
    with problems.collecting(file=file, line=block.line_of("length"), field="length"):
        if "length" in block.values:
            length = read_length(block.values["length"], timebase)
        if "length" in block.values and "out" in block.values:
            raise OutlineError(
                "both a length and an out-point are given.",
                code="length-and-out",
                remedy="Keep one of them.",
            )
    return Times(places.get(start_key), places.get("out"), length)


def _warn_mark(place: Place, line: int, problems: Problems, timebase: Timebase, file: str) -> None:
    if place.other_mark and not any(p.code == "other-counting" for p in problems.found):
        counts = "drop-frame (';')" if timebase.drop else "non-drop (':')"
        problems.warn(
            "other-counting",
            f"timecode is written for the other way of counting; this session counts {counts}, "
            "and all labels are read so.",
            file=file,
            line=line,
            remedy="Check that the labels still mean what they did, or write times in seconds.",
        )


def _cues(
    passage: Passage, beat: str, problems: Problems, timebase: Timebase, file: str
) -> tuple[DraftCue, ...]:
    cues: list[DraftCue] = []
    # Cues with an id of their own count too, so that giving one an id renames no other.
    counted: Counter[str] = Counter()
    for block in passage.blocks:
        if block.kind == "beat":
            continue
        counted[block.kind] += 1
        nth = counted[block.kind]
        made = f"{beat}-{block.kind.replace('_', '-')}" + (f"-{nth}" if nth > 1 else "")
        cue = made
        with problems.collecting(file=file, line=block.line_of("id"), field="id"):
            cue = written_id(block.values["id"]) if "id" in block.values else made
        times = _times(block, "at", problems, timebase, file)
        anchor: Phrase | DataEvent | None = None
        key = next((key for key in ANCHOR_KEYS if key in block.values), "")
        with problems.collecting(file=file, line=block.line_of(key)):
            anchor = read_anchor(block)
        options = {key: value for key, value in block.values.items() if key not in CUE_KEYS}
        cues.append(DraftCue(cue, block.kind, times, anchor, options, block.line, block.lines))
    return tuple(cues)


def _check_ids(drafts: Sequence[DraftBeat], problems: Problems, file: str) -> None:
    first: dict[str, DraftCue] = {}
    titles: dict[str, DraftBeat] = {}
    for draft in drafts:
        twin = titles.setdefault(id_from_words(draft.title), draft)
        if twin is not draft and draft.cues:
            problems.warn(
                "same-heading",
                f"the heading {draft.title!r} is that of line {twin.line} too; its cues are "
                f"called {draft.beat}-….",
                file=file,
                line=draft.line,
                remedy="Write another heading, or give the cues ids, so that they stay the same.",
            )
        for cue in draft.cues:
            other = first.setdefault(cue.cue, cue)
            with problems.collecting(file=file, line=cue.lines.get("id", cue.line)):
                if other is not cue:
                    raise OutlineError(
                        f"the id {cue.cue!r} is that of the cue in line {other.line} too.",
                        code="duplicate-id",
                        remedy="Give one of them another id.",
                    )
