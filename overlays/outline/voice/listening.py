"""Takes the captions of a session and holds them against its script."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from overlays.errors import Problems, SessionError
from overlays.model.result import Results
from overlays.outline.clock import Clock
from overlays.outline.draft import DraftBeat
from overlays.outline.speech.known import Knowledge
from overlays.outline.voice.captions import Caption, find_captions, read_captions
from overlays.outline.voice.hearing import ScriptWord, Voice
from overlays.outline.voice.retakes import find_retakes
from overlays.outline.voice.tokens import Ear, unit_sounds
from overlays.session.paths import inside
from overlays.timecode import label_ms

__all__ = ["Listening", "listen", "silence"]

_EARLY_MS = 2000


@dataclass(frozen=True, slots=True)
class Listening:
    """The recorded voice, on a clock that knows where its time begins."""

    voice: Voice
    clock: Clock
    file: str


def listen(
    drafts: Sequence[DraftBeat], clock: Clock, results: Results, problems: Problems
) -> Listening | None:
    """Read a session's captions and match them to the script.

    Parameters
    ----------
    drafts : sequence of DraftBeat
        The script.
    clock : Clock
        The timeline.
    results : Results
        For the units that are spoken of, and the session's folder.
    problems : Problems
        Gets what is wrong with the captions, and passages that were said twice.

    Returns
    -------
    Listening or None
        None where the session has no captions that can be used.
    """
    file: str | None = None
    captions: tuple[Caption, ...] = ()
    folder = results.session.folder
    with problems.collecting():
        file = find_captions(folder)
        if file is not None:
            captions = read_captions(_captions_path(folder, file), problems, file=file)
    if file is None or not any(caption.words for caption in captions):
        return None
    counted_from = _zero_ms(captions, clock)
    if counted_from:
        problems.warn(
            "captions-on-timecode",
            f"the captions begin at {label_ms(captions[0].start_ms)}, so their times are taken "
            "as timecode.",
            file=file,
            line=captions[0].line,
            remedy="If they count from the start of the recording, shift them.",
        )
    clock = dataclasses.replace(clock, voice_zero_ms=counted_from)
    voice = _voice(drafts, captions, results)
    for retake in find_retakes(voice):
        at, title = clock.label(clock.heard(retake.start_ms)), drafts[retake.beat].title
        lines = (c.line for c in captions if c.start_ms <= retake.start_ms < c.end_ms)
        problems.warn(
            "said-twice",
            f"a passage of {title!r} is said at {at} ({retake.text[:60]!r}) and again; the other "
            "take is used.",
            file=file,
            line=next(lines, None),
            remedy="Cut the spare take, or check that the right one is used.",
        )
    return Listening(voice, clock, file)


def silence(drafts: Sequence[DraftBeat], results: Results) -> Voice:
    """Return the script's words without a recording."""
    return _voice(drafts, (), results)


def _captions_path(folder: Path, file: str) -> Path:
    try:
        return inside(folder, file)
    except SessionError as error:
        raise error.at(file=file) from error


def _zero_ms(captions: Sequence[Caption], clock: Clock) -> int:
    """Return what the captions call the episode's start: zero, or its timecode."""
    hours, minutes, seconds, frames = (
        int(part) for part in clock.timebase.label(clock.start).replace(";", ":").split(":")
    )
    whole = (hours * 3600 + minutes * 60 + seconds) * 1000
    start_ms = whole + 1000 * frames // clock.timebase.nominal
    return start_ms if start_ms and captions[0].start_ms >= start_ms - _EARLY_MS else 0


def _voice(drafts: Sequence[DraftBeat], captions: Sequence[Caption], results: Results) -> Voice:
    units = unit_sounds(Knowledge(results).lexicon)
    ear = Ear(units, decimal_mark=results.session.spec.episode.decimal_mark)
    words = [
        ScriptWord(sound, index, place)
        for index, draft in enumerate(drafts)
        for place, sentence in enumerate(draft.narration.sentences)
        for sound in ear.text(sentence.aloud)
    ]
    return Voice(words, captions, ear=ear)
