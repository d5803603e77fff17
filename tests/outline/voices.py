"""An invented host reads an invented script: words with true times, and captions with mistakes."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass

from overlays.outline.voice.captions import Caption, HeardWord
from overlays.outline.voice.hearing import ScriptWord, Voice
from overlays.outline.voice.tokens import Ear

__all__ = [
    "Said",
    "captions_srt",
    "captions_vtt",
    "make_script",
    "read_aloud",
    "seeded",
    "spoil",
    "vocabulary_row",
    "voice_of",
]

_WORDS = """
brake pad rotor lever cold wet long short stop torque wheel water heat bench test flywheel
run bites holds fades climbs drops leads keeps loses gains settles slips grips sings smokes
the a and but so then now here there with under over after before again still almost never
always quite rather very gently harder softer sooner later first second third price money
packet promise maker resin metal sintered organic ceramic fibre dust noise smell colour
surface edge middle curve line point gap lead place table season episode morning evening
weather rain sun hand finger cable hose caliper spring screw bolt washer frame fork tyre
road hill valley bend you we they it this that these those my your our their one two three
four five six seven
"""
VOCABULARY = _WORDS.split()


@dataclass(frozen=True)
class Said:
    """A word as captioned: its text, when it is said, and which word of the script it is."""

    text: str
    start_ms: int
    end_ms: int
    script: int | None


def seeded(seed: int) -> random.Random:
    """Return the same chance every time."""
    return random.Random(seed)  # noqa: S311 (nothing is kept secret by it)


def vocabulary_row(rng: random.Random, length: int) -> list[str]:
    """Return some words."""
    return [rng.choice(VOCABULARY) for _ in range(length)]


def make_script(seed: int, beats: int) -> tuple[str, list[list[str]], list[int]]:
    """Return a script with a cue on a phrase in every beat, its words, and where each phrase is."""
    rng = seeded(seed)
    parts, words, phrases = [], [], []
    for beat in range(beats):
        own: list[str] = []
        for _ in range(rng.randint(3, 6)):
            own += vocabulary_row(rng, rng.randint(6, 14))
            own[-1] += "."
        bare = [word.strip(".") for word in own]
        place = _unique_phrase(bare, rng)
        phrase = " ".join(bare[place : place + 3])
        parts.append(
            f"## Beat {beat}\n\n{' '.join(own)}\n\n"
            f'```cue curves\nid = "cue-{beat}"\nwhen = "{phrase}"\nlength = "0.2 s"\n```\n'
        )
        words.append(bare)
        phrases.append(place)
    return "\n".join(parts), words, phrases


def _unique_phrase(words: Sequence[str], rng: random.Random) -> int:
    rows = [tuple(words[k : k + 3]) for k in range(len(words) - 3)]
    return rng.choice([k for k, row in enumerate(rows) if rows.count(row) == 1])


def read_aloud(words: Sequence[Sequence[str]], seed: int) -> list[Said]:
    """Return every word with its true time: lengths scatter, and beats are parted by pauses."""
    rng = seeded(seed)
    said: list[Said] = []
    at, number = 800, 0
    for beat in words:
        for word in beat:
            length = max(90, round((60 + 62 * len(word)) * rng.lognormvariate(0, 0.25)))
            said.append(Said(word, at, at + length, number))
            number += 1
            at += length + (rng.randint(150, 500) if rng.random() < 0.1 else 0)
        at += rng.randint(300, 1500)
    return said


def spoil(said: Sequence[Said], seed: int, share: float) -> list[Said]:
    """Change, drop or repeat a share of the words, as mishearing and stammering do."""
    rng = seeded(seed)
    spoilt: list[Said] = []
    for word in said:
        fate = rng.random()
        if fate < share / 3:
            spoilt.append(Said(_misheard(word.text, rng), word.start_ms, word.end_ms, word.script))
        elif fate < 2 * share / 3:
            continue
        elif fate < share:
            # The first try takes the first half of the word's time; the second is the word.
            middle = (word.start_ms + word.end_ms) // 2
            spoilt.append(Said(word.text, word.start_ms, middle, None))
            spoilt.append(Said(word.text, middle, word.end_ms, word.script))
        else:
            spoilt.append(word)
    return spoilt


def _misheard(text: str, rng: random.Random) -> str:
    if rng.random() < 0.5:
        return rng.choice(VOCABULARY)
    place = rng.randrange(len(text))
    return text[:place] + rng.choice("aeiostr") + text[place + 1 :]


def _clock(ms: int, mark: str) -> str:
    seconds, rest = divmod(ms, 1000)
    return f"{seconds // 3600:02}:{seconds // 60 % 60:02}:{seconds % 60:02}{mark}{rest:03}"


def _grouped(said: Sequence[Said], seed: int) -> list[list[Said]]:
    rng = seeded(seed)
    groups: list[list[Said]] = [[]]
    size = rng.randint(5, 9)
    for word in said:
        pause = groups[-1] and word.start_ms - groups[-1][-1].end_ms > 250
        if len(groups[-1]) >= size or pause:
            groups.append([])
            size = rng.randint(5, 9)
        groups[-1].append(word)
    return groups


def captions_vtt(said: Sequence[Said], seed: int) -> str:
    """Write captions with a time for every word."""
    lines = ["WEBVTT", ""]
    for group in _grouped(said, seed):
        lines.append(f"{_clock(group[0].start_ms, '.')} --> {_clock(group[-1].end_ms, '.')}")
        rest = "".join(f" <{_clock(word.start_ms, '.')}>{word.text}" for word in group[1:])
        lines += [group[0].text + rest, ""]
    return "\n".join(lines)


def captions_srt(said: Sequence[Said], seed: int) -> str:
    """Write captions that give only where each caption begins and ends."""
    lines: list[str] = []
    for number, group in enumerate(_grouped(said, seed), start=1):
        lines.append(str(number))
        lines.append(f"{_clock(group[0].start_ms, ',')} --> {_clock(group[-1].end_ms, ',')}")
        lines += [" ".join(word.text for word in group), ""]
    return "\n".join(lines)


def voice_of(script: str, heard: str, *, step_ms: int = 400) -> Voice:
    """Return a voice that says a word every `step_ms`; ``|`` parts the beats of the script."""
    words = [
        ScriptWord(word, beat, 0)
        for beat, text in enumerate(script.split("|"))
        for word in text.split()
    ]
    said = [
        HeardWord(word, step_ms * k, step_ms * (k + 1), 0, 0)
        for k, word in enumerate(heard.split())
        if word != "_"  # a pause
    ]
    caption = Caption(1, 1, 0, step_ms * len(heard.split()), heard, tuple(said))
    return Voice(words, [caption], ear=Ear({}))
