"""What a cue hangs on: its beat's in-point, a phrase of its beat, or an event in the data."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from overlays.errors import OutlineError
from overlays.outline.block import Block
from overlays.session.validation import closest
from overlays.units import Quantity

__all__ = ["ANCHOR_KEYS", "EVENTS", "DataEvent", "Phrase", "read_anchor"]

What = Literal["start", "peak", "lowest", "crossing", "level", "end"]
EVENTS: tuple[What, ...] = ("start", "peak", "lowest", "crossing", "level", "end")
ANCHOR_KEYS = ("when", "occurrence", "event")
_EVENT_KEYS = ("what", "of", "entries", "level")
_LONGEST = 200


@dataclass(frozen=True, slots=True)
class Phrase:
    """Words of the beat that the cue waits for.

    Parameters
    ----------
    text : str
        The words.
    occurrence : int or None
        Which time they are said in the beat, from 1; None where it is not written.
    """

    text: str
    occurrence: int | None = None


@dataclass(frozen=True, slots=True)
class DataEvent:
    """A moment of a run that the cue waits for, while the run is drawn by another cue.

    Parameters
    ----------
    what : {"start", "peak", "lowest", "crossing", "level", "end"}
        The trigger, the highest or lowest value, where two curves cross, where a level is first
        reached, or the end of the test.
    of : str or None
        Id of the cue that draws the run; None for the only one in the beat that does.
    entries : tuple of str
        Whose run, or the two whose curves cross; empty for the first that is drawn.
    level : Quantity or None
        For ``level``.
    """

    what: What
    of: str | None = None
    entries: tuple[str, ...] = ()
    level: Quantity | None = field(default=None)


def read_anchor(block: Block) -> Phrase | DataEvent | None:
    """Read what a cue's block says it hangs on.

    Raises
    ------
    OutlineError
        If it names two things at once, or either is not written as expected; with ``field``.
    UnitError
        If a level is no quantity.
    """
    if "when" in block.values and "event" in block.values:
        raise OutlineError(
            "the cue hangs on a phrase and on an event at once.",
            code="two-anchors",
            field="event",
            remedy="Keep 'when' or 'event'.",
        )
    if "when" in block.values:
        return _phrase(block.values)
    if "occurrence" in block.values:
        raise OutlineError(
            "there is no phrase it could be the occurrence of.",
            code="bad-anchor",
            field="occurrence",
            remedy='Write the phrase as when = "…".',
        )
    return _event(block.values["event"]) if "event" in block.values else None


def _phrase(values: Mapping[str, object]) -> Phrase:
    text, nth = values["when"], values.get("occurrence")
    if not isinstance(text, str) or not text.strip() or len(text) > _LONGEST:
        raise OutlineError(
            f"{str(text)[:60]!r} is no phrase; expected words of the beat in quotes.",
            code="bad-anchor",
            field="when",
            remedy='Write it like when = "forty newton metres".',
        )
    if nth is not None and (not isinstance(nth, int) or isinstance(nth, bool) or nth < 1):
        raise OutlineError(
            f"{str(nth)[:60]!r} is no count of occurrences; expected 1, 2, ….",
            code="bad-anchor",
            field="occurrence",
            remedy="Write occurrence = 2 for the second time the phrase is said in the beat.",
        )
    return Phrase(text, nth)


def _event(value: object) -> DataEvent:
    table = {"what": value} if isinstance(value, str) else value
    if not isinstance(table, dict):
        raise _no_event(f"{str(value)[:60]!r} is no event", "")
    for key in table:
        if key not in _EVENT_KEYS:
            raise _no_event(f"an event has no key {key!r}", closest(str(key), _EVENT_KEYS))
    what = next((known for known in EVENTS if known == table.get("what")), None)
    if what is None:
        shown = str(table.get("what"))[:60]
        raise _no_event(f"{shown!r} is no event", closest(shown, EVENTS))
    of, entries = table.get("of"), table.get("entries", [])
    if not isinstance(of, str | None):
        raise _no_event("'of' is the id of a cue, in quotes", "")
    if not isinstance(entries, list) or not all(isinstance(entry, str) for entry in entries):
        raise _no_event("'entries' is a list of entries", "")
    if what == "crossing" and entries and len(set(entries)) != 2:
        raise _no_event(f"a crossing is of two entries, not of {len(set(entries))}", "")
    if (what == "level") != ("level" in table):
        raise _no_event("'level' belongs to the event \"level\", and to no other", "")
    level = Quantity.parse(str(table["level"])) if "level" in table else None
    return DataEvent(what, of, tuple(entries), level)


def _no_event(why: str, near: str) -> OutlineError:
    example = 'event = "peak", or event = { what = "crossing", entries = ["a", "b"] }'
    return OutlineError(
        f"{why}.", code="bad-event", field="event", remedy=f"{near} Write {example}.".strip()
    )
