"""Passages that were said more than once: the take that is not used."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from overlays.outline.voice.hearing import Voice

__all__ = ["Retake", "find_retakes"]

_LEAST_WORDS, _MOST_WORDS, _LEAST_LIKE = 4, 300, 0.6


@dataclass(frozen=True, slots=True)
class Retake:
    """A take that is not used: of which beat, when, and its words as they sound."""

    beat: int
    start_ms: int
    end_ms: int
    text: str


def find_retakes(voice: Voice) -> tuple[Retake, ...]:
    """Find what was said, matched no word of the script, and resembles the script beside it."""
    found: list[Retake] = []
    by_heard = {match.heard: k for k, match in enumerate(voice.found) if match is not None}
    for first, last in _unused(voice):
        said = [sound.sound for sound in voice.heard[first:last]]
        # The script's words right behind and right before the stretch.
        edges = (by_heard.get(last), by_heard.get(first - 1, len(voice.words)) + 1)
        begin = _take_of(said, [k for k in edges if k is not None and k < len(voice.words)], voice)
        if begin is not None:
            start, end = voice.heard[first].start_ms, voice.heard[last - 1].end_ms
            # A take may begin with the last words of the beat before.
            middle = voice.words[min(begin + len(said) // 2, len(voice.words) - 1)]
            found.append(Retake(middle.beat, start, end, " ".join(said)))
    return tuple(found)


def _unused(voice: Voice) -> Iterator[tuple[int, int]]:
    """Yield the stretches of heard sounds that no word of the script was matched with."""
    first: int | None = None
    for place in range(len(voice.heard) + 1):
        free = place < len(voice.heard) and place not in voice.used
        if free and first is None:
            first = place
        elif not free and first is not None:
            # Words as captioned: a number in figures is one word and many sounds.
            words = len({id(sound.word) for sound in voice.heard[first:place]})
            if words >= _LEAST_WORDS and place - first <= _MOST_WORDS:
                yield first, place
            first = None


def _take_of(said: Sequence[str], edges: Sequence[int], voice: Voice) -> int | None:
    """Return where in the script the passage begins that was said here, or None."""
    from rapidfuzz.distance import Indel

    best, found = _LEAST_LIKE, None
    for edge in edges:
        for begin in (edge, max(0, edge - len(said))):
            passage = [word.sound for word in voice.words[begin : begin + len(said)]]
            like = Indel.normalized_similarity(passage, said)
            if like > best or (found is None and like == best):
                best, found = like, begin
    return found
