"""Reads the script of a session: outline.md → beats and cues on the timeline."""

from __future__ import annotations

from fractions import Fraction

from overlays.errors import OutlineError, Problems
from overlays.model.outline import Outline
from overlays.model.result import Results
from overlays.model.session import Session
from overlays.outline.draft import draft_beats
from overlays.outline.script import read_script, read_text
from overlays.outline.timing import Clock, place_beats

__all__ = ["OUTLINE_FILE", "read_outline"]

OUTLINE_FILE = "outline.md"


def read_outline(session: Session, results: Results, problems: Problems) -> Outline | None:
    """Read the outline and time it.

    Parameters
    ----------
    session : Session
        Whose folder holds the outline.
    results : Results
        What the narration's references are filled in from.
    problems : Problems
        Gets everything that is wrong, each with its line.

    Returns
    -------
    Outline or None
        All beats and cues that can be placed; None where the file cannot be read, has no beat, or
        the session's own times are wrong.
    """
    clock: Clock | None = None
    text: str | None = None
    with problems.collecting(file="session.toml"):
        clock = _clock(session)
    with problems.collecting(file=OUTLINE_FILE):
        text = read_text(session.folder / OUTLINE_FILE, file=OUTLINE_FILE)
    if clock is None or text is None:
        return None
    timebase = clock.timebase
    passages = read_script(text, problems, file=OUTLINE_FILE)
    with problems.collecting(file=OUTLINE_FILE):
        if not passages:
            raise OutlineError(
                "there is no beat.",
                code="no-beat",
                remedy="Write a heading '## …' for each passage of the script.",
            )
    if not passages:
        return None
    drafts = draft_beats(passages, results, problems, timebase=timebase, file=OUTLINE_FILE)
    beats = place_beats(drafts, clock, problems, file=OUTLINE_FILE)
    return Outline(OUTLINE_FILE, timebase, beats)


def _clock(session: Session) -> Clock:
    """Take the timeline's start and pace from session.toml."""
    episode = session.spec.episode
    problems = Problems()
    start, words_per_min = 0, Fraction(1)
    with problems.collecting(line=session.line("episode", "timecode"), field="episode.timecode"):
        timebase = episode.timebase
    problems.raise_errors()
    with problems.collecting(line=session.line("episode", "start"), field="episode.start"):
        # The default start has to serve both ways of counting.
        start = timebase.frame(episode.start, either_mark=True)
    pace = session.line("episode", "speaking_rate")
    with problems.collecting(line=pace, field="episode.speaking_rate"):
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
