"""What of the script was heard, and when: beats and phrases found in the captions.

Every time comes with how far off it may be. A word that was recognised, and whose neighbours were
too, has the time the captions give it; one that was not is put between its recognised neighbours
by its letters. Nothing here decides: whoever places a cue reports what is doubtful.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from rapidfuzz import fuzz

from overlays.outline.voice.alignment import Match, align
from overlays.outline.voice.captions import Caption, HeardWord
from overlays.outline.voice.tokens import Ear

__all__ = ["HeardBeat", "HeardSound", "ScriptWord", "Spot", "Voice", "phrase_places"]

_SURE, _MAYBE = 0.75, 0.5
_REACH, _SLIP = 3, 2
_LETTER_MS = 65  # about 150 words a minute of six letters
_SHORTEST_MS = 80
_LEAST_HEARD = 0.5
# A pause up to this before the next beat belongs to the beat.
_LONGEST_PAUSE_MS = 2000


@dataclass(frozen=True, slots=True)
class ScriptWord:
    """One word of the script as it sounds, and where it stands."""

    sound: str
    beat: int
    sentence: int


@dataclass(frozen=True, slots=True)
class Spot:
    """When a word of the script is said.

    Parameters
    ----------
    ms : int
        On the captions' clock.
    within_ms : int
        How far off that may be.
    confidence : float
        How well the word and its neighbours were recognised, 0 to 1.
    """

    ms: int
    within_ms: int
    confidence: float


@dataclass(frozen=True, slots=True)
class HeardBeat:
    """When a beat is said.

    Parameters
    ----------
    begin : Spot
        Its first word.
    end_ms : int
        Where what is heard of it ends: the pause before the next beat belongs to it unless that
        is long.
    confidence : float
        Share of its words that were recognised.
    """

    begin: Spot
    end_ms: int
    confidence: float


@dataclass(frozen=True, slots=True)
class HeardSound:
    """One sound of the captions with its times, and the captioned word it is of."""

    sound: str
    start_ms: int
    end_ms: int
    within_ms: int
    word: HeardWord


class Voice:
    """The recorded voice held against the script.

    Parameters
    ----------
    words : sequence of ScriptWord
        All words of the script, beat after beat.
    captions : sequence of Caption
        In order of time.
    ear : Ear
        Says what written words sound like.
    """

    def __init__(
        self,
        words: Sequence[ScriptWord],
        captions: Sequence[Caption],
        *,
        ear: Ear,
    ) -> None:
        self.words = tuple(words)
        self.captions = tuple(captions)
        self.ear = ear
        self.heard = _heard(captions, ear)
        self.found = self._kept(align([w.sound for w in words], [h.sound for h in self.heard]))
        self._sure = [self._is_sure(place) for place in range(len(words))]
        self._beats: dict[int, HeardBeat | None] = {}
        self._spans: dict[int, tuple[int, int]] = {}
        for place, word in enumerate(self.words):
            first, _ = self._spans.get(word.beat, (place, place))
            self._spans[word.beat] = (first, place + 1)

    def span(self, beat: int) -> tuple[int, int]:
        """Return the first and past-the-last index of a beat's words; equal where it has none."""
        return self._spans.get(beat, (0, 0))

    def _kept(self, found: list[Match | None]) -> list[Match | None]:
        """Take out matches that may as well be a neighbour's: then nobody knows whose it is."""
        kept = list(found)
        for place, match in enumerate(found):
            if match is None or match.likeness == 1:
                continue
            sound = self.heard[match.heard].sound
            for other in (place - 1, place + 1):
                if not 0 <= other < len(found):
                    continue
                alike = fuzz.ratio(self.words[other].sound, sound) / 100
                # A stammered neighbour, or a neighbour nothing was heard for that is as alike.
                if alike >= (_SURE if found[other] is not None else _MAYBE):
                    kept[place] = None
        return kept

    def share(self, beat: int, phrase: str) -> Fraction:
        """Return which share of a beat's words stands before a phrase; 0 where it has none."""
        places = self.places(beat, phrase)
        first, last = self.span(beat)
        return Fraction(places[0], last - first) if places else Fraction(0)

    def places(self, beat: int, phrase: str) -> list[int]:
        """Return where a phrase begins within a beat, every time, counted in its words."""
        first, last = self.span(beat)
        words = [word.sound for word in self.words[first:last]]
        return phrase_places(words, self.ear.text(phrase))

    def sentence_ms(self, beat: int, sentence: int) -> int | None:
        """Return when a sentence of a beat begins; None where it has no word."""
        first, last = self.span(beat)
        own = (k for k in range(first, last) if self.words[k].sentence == sentence)
        place = next(own, None)
        return None if place is None else self.spot(place).ms

    def _is_sure(self, place: int) -> bool:
        """Say whether a word was recognised: alike, in its place among recognised neighbours."""
        match = self.found[place]
        if match is None:
            return False
        near = [
            step
            for step in range(-_REACH, _REACH + 1)
            if step and self._is_alike(place + step, match.heard + step)
        ]
        if match.likeness >= _SURE:
            return bool(near) or len(self.words) == 1
        # A misheard word still has its slot where both neighbours sit tight.
        return self._sits(place - 1, match.heard - 1) and self._sits(place + 1, match.heard + 1)

    def _is_alike(self, place: int, heard: int) -> bool:
        match = self._match(place)
        return match is not None and match.likeness >= _SURE and abs(match.heard - heard) <= _SLIP

    def _sits(self, place: int, heard: int) -> bool:
        match = self._match(place)
        return match is not None and match.likeness >= _SURE and match.heard == heard

    def _match(self, place: int) -> Match | None:
        return self.found[place] if 0 <= place < len(self.found) else None

    def spot(self, place: int, length: int = 1) -> Spot:
        """Return when a word of the script is said; `length` words are judged for confidence."""
        around = range(max(0, place - 2), min(len(self.words), place + length + 2))
        same = [k for k in around if self.words[k].beat == self.words[place].beat]
        confidence = sum(self._likeness(k) for k in same) / len(same)
        match = self.found[place]
        if match is not None and self._sure[place]:
            heard = self.heard[match.heard]
            within = max(heard.within_ms, self._stammer_ms(match.heard))
            return Spot(heard.start_ms, within, confidence)
        ms, within = self._between(place)
        return Spot(ms, within, confidence)

    def anchor(self, place: int) -> int | None:
        """Return which heard sound a word of the script was recognised as; None where none."""
        match = self.found[place]
        return match.heard if match is not None and self._sure[place] else None

    def _likeness(self, place: int) -> float:
        match = self.found[place]
        return match.likeness if match is not None and self._sure[place] else 0.0

    def _stammer_ms(self, heard: int) -> int:
        """Return how far a word is from its own repetition, which may be the one that is meant."""
        used = self.used
        word = self.heard[heard]
        return max(
            (
                abs(self.heard[other].start_ms - word.start_ms)
                for other in (heard - 1, heard + 1)
                if 0 <= other < len(self.heard)
                and other not in used
                and self.heard[other].sound == word.sound
            ),
            default=0,
        )

    @cached_property
    def used(self) -> frozenset[int]:
        """Indices of the heard sounds that a word of the script was matched with."""
        return frozenset(match.heard for match in self.found if match is not None)

    def _between(self, place: int) -> tuple[int, int]:
        """Put a word that was not recognised between its recognised neighbours."""
        before = next((k for k in range(place - 1, -1, -1) if self._sure[k]), None)
        after = next((k for k in range(place + 1, len(self.words)) if self._sure[k]), None)
        if before is None and after is None:
            return 0, self.heard[-1].end_ms if self.heard else 0
        low, high = self._start(before), self._start(after)
        if low is None or before is None:
            ahead = self._letters(place, after or place) * _LETTER_MS
            return max(0, (high or 0) - ahead), ahead
        if high is None or after is None:
            passed = self._letters(before, place) * _LETTER_MS
            return low + passed, passed
        share = self._letters(before, place) / self._letters(before, after)
        ms = low + round((high - low) * share)
        earliest = low + _SHORTEST_MS * (place - before)
        latest = high - _SHORTEST_MS * (after - place)
        return ms, max(ms - earliest, latest - ms, 0) + self._within(before, after)

    def _start(self, place: int | None) -> int | None:
        match = None if place is None else self.found[place]
        return None if match is None else self.heard[match.heard].start_ms

    def _within(self, *places: int) -> int:
        matches = [match for place in places if (match := self.found[place]) is not None]
        return max((self.heard[match.heard].within_ms for match in matches), default=0)

    def _letters(self, first: int, last: int) -> int:
        return sum(len(word.sound) + 1 for word in self.words[first:last])

    def beat(self, beat: int) -> HeardBeat | None:
        """Return when a beat is said, or None where less than half of it was recognised."""
        if beat not in self._beats:
            self._beats[beat] = self._beat(beat)
        return self._beats[beat]

    def _beat(self, beat: int) -> HeardBeat | None:
        first, last = self.span(beat)
        confidence = self.confidence(beat)
        if first == last or confidence < _LEAST_HEARD:
            return None
        end_ms = self._end_ms(beat, first, last)
        return HeardBeat(self.spot(first, min(4, last - first)), end_ms, confidence)

    def confidence(self, beat: int) -> float:
        """Return the share of a beat's words that were recognised."""
        first, last = self.span(beat)
        return sum(self._likeness(k) for k in range(first, last)) / max(1, last - first)

    def _end_ms(self, beat: int, first: int, last: int) -> int:
        own = [m.heard for k in range(first, last) if self._sure[k] and (m := self.found[k])]
        following = self.span(beat + 1)
        if following[0] == following[1] or self.confidence(beat + 1) < _LEAST_HEARD:
            return self.heard[max(own)].end_ms
        begin = self.spot(following[0], 4)
        # What is said between the two beats without being written belongs to the first.
        behind = itertools.islice(self.heard, max(own), None)
        said = itertools.takewhile(lambda sound: sound.start_ms < begin.ms, behind)
        end = min(max((sound.end_ms for sound in said), default=begin.ms), begin.ms)
        return begin.ms if begin.ms - end <= _LONGEST_PAUSE_MS else end


def _heard(captions: Sequence[Caption], ear: Ear) -> list[HeardSound]:
    heard: list[HeardSound] = []
    for caption in captions:
        for word in caption.words:
            parts = ear.word(word.text)
            length = word.end_ms - word.start_ms
            for place, sound in enumerate(parts):
                start = word.start_ms + length * place // len(parts)
                end = word.start_ms + length * (place + 1) // len(parts)
                # Within a number in figures the words have no time of their own.
                within = word.within_ms + (length // len(parts) if place else 0)
                heard.append(HeardSound(sound, start, end, within, word))
    return heard


def phrase_places(words: Sequence[str], phrase: Sequence[str]) -> list[int]:
    """Return where a phrase begins among words, every time.

    Examples
    --------
    >>> phrase_places("to be or not to be".split(), ["to", "be"])
    [0, 4]
    """
    size = len(phrase)
    if not size:
        return []
    return [
        place
        for place in range(len(words) - size + 1)
        if list(words[place : place + size]) == list(phrase)
    ]
