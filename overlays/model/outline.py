"""The script: beats, and the cues that call for overlays."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from overlays.timecode import Timebase

__all__ = ["Beat", "Cue", "Filling", "HeardLine", "Outline", "SaidWord", "Sentence"]


@dataclass(frozen=True, slots=True)
class Filling:
    """One reference of a sentence, filled in.

    Parameters
    ----------
    start, end : int
        Where it stands in the sentence's text.
    reference : str
        What is written between the braces.
    aloud : str
        As it is read aloud, the unit in words.
    figures : tuple of (str, str)
        (figure, entry) it draws on.
    """

    start: int
    end: int
    reference: str
    aloud: str
    figures: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Sentence:
    """One sentence of a beat's narration.

    Parameters
    ----------
    text : str
        Figures filled in.
    source : str
        As written, with its references.
    paragraph : int
        Which paragraph of the beat it belongs to, from 0.
    line : int
        Line it begins on in the outline.
    fillings : tuple of Filling
        Its references, in order.
    first_frame : int
        When it begins on the episode's timeline; 0 before that is known.
    """

    text: str
    source: str
    paragraph: int
    line: int
    fillings: tuple[Filling, ...]
    first_frame: int = 0

    @property
    def aloud(self) -> str:
        """The sentence as it is read aloud."""
        parts, end = [], 0
        for filling in self.fillings:
            parts += [self.text[end : filling.start], filling.aloud]
            end = filling.end
        return "".join([*parts, self.text[end:]])


@dataclass(frozen=True, slots=True)
class Cue:
    """A call for one overlay within a beat, timed.

    Parameters
    ----------
    cue : str
        The id: as written, else made from beat and kind.
    kind : str
        The overlay kind.
    beat : str
        Id of its beat.
    first_frame : int
        Place on the episode's timeline, as a frame number of the session's timebase.
    frames : int
        Length, without handles.
    options : Mapping[str, Any]
        What to show, as written in the cue's block, `id` and timing taken out.
    line : int
        Line of the block in the outline.
    option_lines : Mapping[str, int]
        Line of each option, for messages.
    timed_by : str
        Where its place comes from: ``"written"``, ``"captions"``, ``"speaking rate"`` or
        ``"event"``.
    confidence : float or None
        How well what it hangs on was recognised in the captions, 0 to 1; None where it does not
        come from there.
    """

    cue: str
    kind: str
    beat: str
    first_frame: int
    frames: int
    options: Mapping[str, Any]
    line: int
    option_lines: Mapping[str, int]
    timed_by: str = "written"
    confidence: float | None = None


@dataclass(frozen=True, slots=True)
class SaidWord:
    """One word as captioned, timed by the recorded voice.

    Parameters
    ----------
    text : str
        Without blanks, with the marks that stand at it.
    first_frame, end_frame : int
        When it is said, on the episode's timeline; `end_frame` is the one behind its last.
    """

    text: str
    first_frame: int
    end_frame: int


@dataclass(frozen=True, slots=True)
class Beat:
    """One passage of the script.

    Parameters
    ----------
    beat : str
        The id, made from the heading.
    title : str
        The heading.
    first_frame, frames : int
        Place and length on the episode's timeline.
    timed_by : str
        Where the times come from: ``"written"``, ``"captions"`` or ``"speaking rate"``.
    narration : str
        What is read aloud, figures filled in.
    source : str
        The narration as written, with its references.
    figures : tuple of (str, str)
        (figure, entry) of every reference in the narration.
    cues : tuple of Cue
        In order of time.
    line : int
        Line of the heading.
    sentences : tuple of Sentence
        The narration, taken apart.
    confidence : float or None
        How much of it was recognised in the captions, 0 to 1; None without captions.
    said : tuple of SaidWord
        What the recorded voice says of it and between its words: the script's words where they
        were recognised, else the captions'. Empty where the beat was not heard.
    """

    beat: str
    title: str
    first_frame: int
    frames: int
    timed_by: str
    narration: str
    source: str
    figures: tuple[tuple[str, str], ...]
    cues: tuple[Cue, ...]
    line: int
    sentences: tuple[Sentence, ...] = ()
    confidence: float | None = None
    said: tuple[SaidWord, ...] = ()


@dataclass(frozen=True, slots=True)
class HeardLine:
    """One caption of the recorded voice, on the episode's timeline.

    Parameters
    ----------
    text : str
        Its words, on one line.
    first_frame, end_frame : int
        When it stands; `end_frame` is the one behind its last.
    beat : str
        Id of the beat it is said in; empty before the first.
    line : int
        Line of its times in the captions.
    word_frames : tuple of int
        When each of its words begins, as the captions say or by its place among them.
    """

    text: str
    first_frame: int
    end_frame: int
    beat: str
    line: int
    word_frames: tuple[int, ...] = ()

    def frame_at(self, place: int) -> int:
        """Return when what stands at a place of the text is said."""
        word = len(self.text[: place + 1].split()) - 1
        return self.word_frames[word] if 0 <= word < len(self.word_frames) else self.first_frame


@dataclass(frozen=True, slots=True)
class Outline:
    """All beats of an episode in order of time.

    Parameters
    ----------
    file : str
        The outline, as the user knows it.
    timebase : Timebase
        Of the episode.
    beats : tuple of Beat
        In order of time.
    captions : str
        The captions the times were taken from; empty without a recording.
    heard : tuple of HeardLine
        What they say.
    """

    file: str
    timebase: Timebase
    beats: tuple[Beat, ...]
    captions: str = ""
    heard: tuple[HeardLine, ...] = ()

    @property
    def cues(self) -> tuple[Cue, ...]:
        """Every cue of the episode in order of time."""
        cues = [cue for beat in self.beats for cue in beat.cues]
        return tuple(sorted(cues, key=lambda cue: (cue.first_frame, cue.cue)))
