"""What the recorded voice says, word by word, written as it should be read.

Captions made by recognition misspell names and numbers; the script spells them, and sets figures
as measured. So the script's words are taken at the times they are heard. Where the voice leaves
the script (an ad-lib, a first take, a sentence left out) the captions' words are taken: what is
written then is what is said. A wrong number said in place of a figure is not: the figure stands,
and the findings tell the sentence (`overlays.outline.speech.findings`).
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from rapidfuzz import fuzz

from overlays.model.outline import Sentence
from overlays.outline.voice.hearing import HeardSound, Voice
from overlays.outline.voice.tokens import Ear

__all__ = ["TimedWord", "said_by_beat", "shown_groups"]

_TOKEN = re.compile(r"\S+")
# Our own choice: three words more or less, or four that sound otherwise, are no mishearing.
_MISHEARD, _ALIKE = 3, 0.55
_LETTER_MS = 65  # about 150 words a minute of six letters


@dataclass(frozen=True, slots=True)
class TimedWord:
    """A word to be read, and when it is said on the captions' clock."""

    text: str
    start_ms: int
    end_ms: int


@dataclass(frozen=True, slots=True)
class _Group:
    """Words of the script that are shown together, such as a figure and its unit.

    Parameters
    ----------
    beat : int
        Number of the beat.
    first, last : int
        Which of the script's sounds they are; `last` lies outside.
    texts : tuple of str
        As written.
    """

    beat: int
    first: int
    last: int
    texts: tuple[str, ...]


def shown_groups(sentence: Sentence, ear: Ear) -> Iterator[tuple[tuple[str, ...], int]]:
    """Part a sentence into words as written, each with how many sounds it has.

    A filled-in figure keeps together with its unit, for its words are written otherwise than they
    sound.

    Yields
    ------
    (tuple of str, int)
        Written words, and the number of sounds they stand for.
    """
    spans: list[tuple[int, int]] = []
    for match in _TOKEN.finditer(sentence.text):
        start, end = match.span()
        bridged = spans and any(
            filling.start < spans[-1][1] and start < filling.end for filling in sentence.fillings
        )
        spans[-1:] = [(spans[-1][0], end)] if bridged else [*spans[-1:], (start, end)]
    for start, end in spans:
        aloud, at = "", start
        for filling in sentence.fillings:
            if start <= filling.start and filling.end <= end:
                aloud += sentence.text[at : filling.start] + filling.aloud
                at = filling.end
        sounds = ear.text(aloud + sentence.text[at:end])
        yield tuple(sentence.text[start:end].split()), len(sounds)


def said_by_beat(
    voice: Voice, narrations: Sequence[Sequence[Sentence]]
) -> Mapping[int, tuple[TimedWord, ...]]:
    """Write down what is said, beat by beat.

    Parameters
    ----------
    voice : Voice
        The recorded voice held against the script.
    narrations : sequence of sequence of Sentence
        The sentences of each beat.

    Returns
    -------
    Mapping of int to tuple of TimedWord
        By number of the beat, in order of time and without overlap; beats that were not heard are
        left out. What is said between two beats belongs to the first.
    """
    groups = [
        group
        for beat, sentences in enumerate(narrations)
        if voice.beat(beat) is not None
        for group in _groups(voice, beat, sentences)
    ]
    found: dict[int, list[TimedWord]] = {}
    for beat, words in _stretches(voice, groups):
        found.setdefault(beat, []).extend(words)
    return {beat: _in_order(words) for beat, words in found.items()}


def _groups(voice: Voice, beat: int, sentences: Sequence[Sentence]) -> list[_Group]:
    place, _ = voice.span(beat)
    groups: list[_Group] = []
    waiting: tuple[str, ...] = ()
    for sentence in sentences:
        for texts, sounds in shown_groups(sentence, voice.ear):
            # A dash makes no sound, and stands with the word that does.
            waiting = (*waiting, *texts)
            if sounds:
                groups.append(_Group(beat, place, place + sounds, waiting))
                place, waiting = place + sounds, ()
    if groups and waiting:
        groups[-1] = replace(groups[-1], texts=(*groups[-1].texts, *waiting))
    return groups


def _anchors(voice: Voice, group: _Group) -> list[int]:
    """Return which heard sounds a group was recognised as."""
    found = (voice.anchor(place) for place in range(group.first, group.last))
    return [heard for heard in found if heard is not None]


def _stretches(voice: Voice, groups: Sequence[_Group]) -> Iterator[tuple[int, list[TimedWord]]]:
    """Walk from one recognised group to the next; between them decide whose words stand."""
    beat = groups[0].beat if groups else 0
    reached, open_groups = 0, list[_Group]()
    for group in groups:
        anchors = _anchors(voice, group)
        if not anchors:
            open_groups.append(group)
            continue
        yield from _between(voice, open_groups, (reached, min(anchors)), beat)
        yield group.beat, _of_script(voice, group)
        reached, open_groups, beat = max(anchors) + 1, [], group.beat
    yield from _between(voice, open_groups, (reached, len(voice.heard)), beat)


def _between(
    voice: Voice, groups: Sequence[_Group], span: tuple[int, int], beat: int
) -> Iterator[tuple[int, list[TimedWord]]]:
    heard = voice.heard[span[0] : span[1]]
    script = [word for group in groups for word in voice.words[group.first : group.last]]
    # A number in figures is one word and many sounds; said twice it is a stammer all the same.
    words = sum(len(group.texts) for group in groups) - len(_of_captions(heard))
    if min(abs(len(script) - len(heard)), abs(words)) <= _MISHEARD:
        written, said = (" ".join(item.sound for item in row) for row in (script, heard))
        if len(script) <= _MISHEARD or fuzz.ratio(written, said) / 100 >= _ALIKE:
            for group in groups:
                yield group.beat, _of_script(voice, group)
            return
    parted = {id(voice.heard[place].word) for place in _beside(voice, span)}
    yield beat, _of_captions([sound for sound in heard if id(sound.word) not in parted])


def _beside(voice: Voice, span: tuple[int, int]) -> Iterator[int]:
    """Yield the heard sounds beside a stretch: their words belong to the script."""
    if span[0] > 0:
        yield span[0] - 1
    if span[1] < len(voice.heard):
        yield span[1]


def _of_script(voice: Voice, group: _Group) -> list[TimedWord]:
    start = voice.spot(group.first).ms
    last = voice.anchor(group.last - 1)
    if last is not None:
        end = voice.heard[last].end_ms
    else:
        end = voice.spot(group.last - 1).ms + _LETTER_MS * len(voice.words[group.last - 1].sound)
    end = max(start, end)
    letters = [len(text) for text in group.texts]
    total, before = sum(letters), 0
    words = []
    for text, count in zip(group.texts, letters, strict=True):
        begin = start + (end - start) * before // total
        before += count
        words.append(TimedWord(text, begin, start + (end - start) * before // total))
    return words


def _of_captions(heard: Sequence[HeardSound]) -> list[TimedWord]:
    """Return the captioned words of some sounds, each once."""
    words: list[TimedWord] = []
    last = None
    for sound in heard:
        if sound.word is not last:
            last = sound.word
            words.append(TimedWord(last.text, last.start_ms, last.end_ms))
    return words


def _in_order(words: Sequence[TimedWord]) -> tuple[TimedWord, ...]:
    """Let no word begin before the one in front of it, nor last into the next."""
    starts: list[int] = []
    for word in words:
        starts.append(max(word.start_ms, starts[-1] if starts else 0))
    ends = [*starts[1:], max((word.end_ms for word in words), default=0)]
    return tuple(
        TimedWord(word.text, start, max(start, min(word.end_ms, end)))
        for word, start, end in zip(words, starts, ends, strict=True)
    )
