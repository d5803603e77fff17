"""Reads the script of a session: outline.md → beats and cues on the timeline."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from contextlib import AbstractContextManager
from fractions import Fraction

from overlays.errors import OutlineError, Problems
from overlays.model.outline import Beat, HeardLine, Outline
from overlays.model.result import Results
from overlays.model.session import Session
from overlays.outline.anchors import Phrase
from overlays.outline.clock import Clock
from overlays.outline.cues import Pacing, Sources, plain_pacing
from overlays.outline.draft import DraftBeat, draft_beats
from overlays.outline.script import Passage, read_script, read_text
from overlays.outline.timing import place_beats
from overlays.outline.voice.listening import listen, silence
from overlays.session.paths import inside
from overlays.timecode import whole_frames

__all__ = ["OUTLINE_FILE", "read_outline"]

OUTLINE_FILE = "outline.md"


def read_outline(
    session: Session, results: Results, problems: Problems, *, pacing: Pacing | None = None
) -> Outline | None:
    """Read the outline and time it.

    Parameters
    ----------
    session : Session
        Whose folder holds the outline, and the captions if there are any.
    results : Results
        What the narration's references are filled in from.
    problems : Problems
        Gets everything that is wrong, each with its line.
    pacing : Callable, optional
        Which frame of a cue shows a time of the run, for cues that wait for an event in the data;
        as if curves began with their cue where it is left out.

    Returns
    -------
    Outline or None
        All beats and cues that can be placed; None where the file cannot be read, has no beat, or
        the session's own times are wrong.
    """
    clock: Clock | None = None
    text: str | None = None
    with problems.collecting():
        clock = _clock(session)
    with problems.collecting(file=OUTLINE_FILE):
        text = read_text(inside(session.folder, OUTLINE_FILE), file=OUTLINE_FILE)
    if clock is None or text is None:
        return None
    timebase = clock.timebase
    passages: tuple[Passage, ...] = ()
    with problems.collecting(file=OUTLINE_FILE):
        passages = read_script(text, problems, file=OUTLINE_FILE)
        if not passages:
            raise OutlineError(
                "there is no beat.",
                code="no-beat",
                remedy="Write a heading '## …' for each passage of the script.",
            )
    if not passages:
        return None
    drafts = draft_beats(passages, results, problems, timebase=timebase, file=OUTLINE_FILE)
    sources = _sources(drafts, clock, results, problems, pacing or plain_pacing(results))
    beats = place_beats(drafts, sources, problems)
    heard = tuple(_heard(sources, beats))
    return Outline(OUTLINE_FILE, timebase, beats, sources.captions, heard)


def _heard(sources: Sources, beats: Sequence[Beat]) -> Iterator[HeardLine]:
    """Put the captions on the timeline."""
    clock = sources.clock
    starts = [beat.first_frame for beat in beats]
    for caption in sources.voice.captions if sources.voice is not None else ():
        first = whole_frames(clock.heard(caption.start_ms))
        end = whole_frames(clock.heard(caption.end_ms))
        # A caption that leads into a beat by a frame or two belongs to the beat.
        index = bisect_right(starts, (first + end) // 2) - 1
        beat = beats[index].beat if index >= 0 else ""
        words = tuple(whole_frames(clock.heard(word.start_ms)) for word in caption.words)
        yield HeardLine(caption.text, first, end, beat, caption.line, words)


def _sources(
    drafts: Sequence[DraftBeat],
    clock: Clock,
    results: Results,
    problems: Problems,
    pacing: Pacing,
) -> Sources:
    heard = listen(drafts, clock, results, problems)
    if heard is not None:
        return Sources(heard.clock, results, pacing, heard.voice, OUTLINE_FILE, heard.file)
    # Without a recording the script's words are needed only where a cue waits for some of them.
    waits = any(isinstance(cue.anchor, Phrase) for draft in drafts for cue in draft.cues)
    voice = silence(drafts, results) if waits else None
    return Sources(clock, results, pacing, voice, OUTLINE_FILE)


def _clock(session: Session) -> Clock:
    """Take the timeline's start and pace from session.toml."""
    episode = session.spec.episode
    problems = Problems()
    start, words_per_min = 0, Fraction(1)
    with _field(problems, session, "timecode"):
        timebase = episode.timebase
    problems.raise_errors()
    with _field(problems, session, "start"):
        # The default start has to serve both ways of counting.
        start = timebase.frame(episode.start, either_mark=True)
    with _field(problems, session, "speaking_rate"):
        words_per_min = Fraction(str(episode.speaking_rate.to("1/min")))
        if not 20 <= words_per_min <= 400:
            raise OutlineError(
                f"{float(words_per_min):g} words a minute is no pace of speech; "
                "expected 20 to 400.",
                code="bad-speaking-rate",
                remedy='Write it like "150/min".',
            )
    problems.raise_errors()
    return Clock(timebase, start, 60 * timebase.rate / words_per_min)


def _field(problems: Problems, session: Session, key: str) -> AbstractContextManager[None]:
    return problems.collecting(
        file="session.toml", line=session.line("episode", key), field=f"episode.{key}"
    )
