"""Captions of the recorded voice: SubRip (.srt) and WebVTT (.vtt), with word times where given.

WebVTT as in the W3C's specification: comments, styles and regions are no captions, the hours may
be left out or have three digits, and ``<00:00:01.500>`` within a caption gives the next word its
time. SubRip has no specification; what is common is read: with or without numbers, either decimal
mark, any line ends. pysubs2 reads the same files (the tests hold the two against each other), but
takes word times for captions and passes wrong times without a word, so it is not used to read.

A caption whose times cannot be is refused by its number; overlaps are kept, and told.
"""

from __future__ import annotations

import html
import itertools
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from overlays.errors import OutlineError, Problems
from overlays.model.plain_text import clean_text
from overlays.session.stored import stored_bytes
from overlays.timecode import label_ms

__all__ = ["CAPTION_FILES", "Caption", "HeardWord", "find_captions", "read_captions"]

CAPTION_FILES = ("captions.vtt", "captions.srt")
_LARGEST = 5_000_000
_MOST, _MOST_TOLD = 20_000, 20
_LONGEST_MS = 60_000
_TIME = r"-?(?:\d{1,4}:)?\d{1,3}:\d{2}(?:[.,]\d{1,6})?"
_ARROW = re.compile(rf"\s*({_TIME})\s*-->\s*({_TIME})(?:\s.*)?", re.ASCII)
_CLOCK = re.compile(r"(-?)(?:(\d{1,4}):)?(\d{2}):(\d{2})[.,](\d{3})", re.ASCII)
_TAG = re.compile(r"<([^<>]*)>")
_WORD_TIME = re.compile(r"(?:\d{2,4}:)?\d{2}:\d{2}\.\d{3}", re.ASCII)
# Sounds in brackets, music, positions and a dash before a speaker are not spoken.
_UNSPOKEN = re.compile(r"\[[^\]]*\]|♪[^♪]*♪?|\{\\[^}]*\}|^\s*[-–]\s", re.MULTILINE)
_NOT_CAPTIONS = ("NOTE", "STYLE", "REGION")
_SPREAD_MS = 160


@dataclass(frozen=True, slots=True)
class HeardWord:
    """One word of a caption.

    Parameters
    ----------
    text : str
        As captioned.
    start_ms, end_ms : int
        When it is said, in milliseconds of the captions' clock.
    within_ms : int
        How far off `start_ms` may be: 0 where the captions give the word's time, more where it is
        taken from the word's place within its caption.
    caption : int
        Index of its caption.
    """

    text: str
    start_ms: int
    end_ms: int
    within_ms: int
    caption: int


@dataclass(frozen=True, slots=True)
class Caption:
    """One caption.

    Parameters
    ----------
    number : int
        Its place in the file, from 1.
    line : int
        Line of its times.
    start_ms, end_ms : int
        Its times.
    text : str
        Its words, on one line.
    words : tuple of HeardWord
        The same with times.
    """

    number: int
    line: int
    start_ms: int
    end_ms: int
    text: str
    words: tuple[HeardWord, ...]


@dataclass(frozen=True, slots=True)
class _Raw:
    """A caption as written: its times, and the lines below them."""

    number: int
    line: int
    times: str
    lines: tuple[str, ...]


def find_captions(folder: Path) -> str | None:
    """Return the name of the captions of a session, or None.

    Raises
    ------
    OutlineError
        If there are several.
    """
    found = [name for name in CAPTION_FILES if (folder / name).is_file()]
    if len(found) > 1:
        raise OutlineError(
            f"there are {' and '.join(found)}, and only one can be the recorded voice.",
            code="two-captions",
            file=found[0],
            remedy="Remove one of them.",
        )
    return found[0] if found else None


def read_captions(path: Path, problems: Problems, *, file: str) -> tuple[Caption, ...]:
    """Read captions, in order of time.

    Parameters
    ----------
    path : Path
        The file.
    problems : Problems
        Gets an error for each caption whose times cannot be, and a warning for each overlap.
    file : str
        The file as the user knows it.

    Raises
    ------
    OutlineError
        If the file cannot be read or holds no caption.
    """
    text = _text(path, file)
    vtt = text.startswith("WEBVTT")
    raws = list(_vtt_blocks(text) if vtt else _srt_blocks(text))
    if not raws or len(raws) > _MOST:
        raise OutlineError(
            f"there are {len(raws)} captions; expected 1 to {_MOST}.",
            code="no-captions",
            file=file,
            remedy="Export the captions as WebVTT or SubRip.",
        )
    captions: list[Caption] = []
    for raw in raws:
        with problems.collecting(file=file, line=raw.line):
            captions.append(_caption(raw, captions, vtt=vtt))
    return _in_order(captions, problems, file)


def _text(path: Path, file: str) -> str:
    try:
        stored = stored_bytes(path, largest=_LARGEST, file=file, raises=OutlineError)
    except OSError as error:
        raise OutlineError(
            f"the file cannot be read: {error.strerror or error}.",
            code="no-captions",
            file=file,
            remedy="Export the captions as WebVTT or SubRip.",
        ) from error
    marked = stored.startswith((b"\xff\xfe", b"\xfe\xff"))
    try:
        text = stored.decode("utf-16" if marked else "utf-8-sig")
    except UnicodeDecodeError as error:
        raise OutlineError(
            "the file is not UTF-8 text.",
            code="not-utf8",
            file=file,
            line=None if marked else stored[: error.start].count(b"\n") + 1,
            remedy="Save it as UTF-8.",
        ) from error
    return text.replace("\r\n", "\n").replace("\r", "\n")


def _vtt_blocks(text: str) -> Iterator[_Raw]:
    number = 0
    lines = text.split("\n")
    for first, last in _stretches(lines):
        block = lines[first:last]
        if first == 0 or block[0].split(" ")[0].split("\t")[0] in _NOT_CAPTIONS:
            continue
        at = next((place for place, line in enumerate(block[:2]) if "-->" in line), None)
        if at is not None:
            number += 1
            yield _Raw(number, first + at + 1, block[at], tuple(block[at + 1 :]))


def _stretches(lines: Sequence[str]) -> Iterator[tuple[int, int]]:
    """Yield the stretches between empty lines."""
    first: int | None = None
    for place, line in enumerate([*lines, ""]):
        if line.strip() and first is None:
            first = place
        elif not line.strip() and first is not None:
            yield first, place
            first = None


def _srt_blocks(text: str) -> Iterator[_Raw]:
    # Empty lines within a caption occur, so a caption goes on until the next one's times.
    lines = text.split("\n")
    arrows = [place for place, line in enumerate(lines) if "-->" in line]
    for number, place in enumerate(arrows, start=1):
        following = arrows[number] if number < len(arrows) else None
        body = lines[place + 1 : following]
        if following is not None and body and body[-1].strip().isdecimal():
            body.pop()  # the next caption's number
        yield _Raw(number, place + 1, lines[place], tuple(body))


def _caption(raw: _Raw, before: Sequence[Caption], *, vtt: bool) -> Caption:
    match = _ARROW.fullmatch(raw.times)
    start = _clock_ms(match[1]) if match else None
    end = _clock_ms(match[2]) if match else None
    if start is None or end is None:
        raise _refused(raw, f"its times {raw.times.strip()[:60]!r} cannot be read")
    if start < 0 or end < 0:
        raise _refused(raw, f"it begins at {label_ms(start)}, before the recording")
    if end <= start:
        length = (
            "it has no length" if end == start else f"it ends {start - end} ms before it begins"
        )
        raise _refused(raw, length)
    cleaned = clean_text("\n".join(raw.lines), keep_line_ends=True)
    lines = [line for line in cleaned.split("\n") if line.strip()]
    if vtt:
        lines = _without_repeat(lines, before, start)
    words = tuple(_words("\n".join(lines), start, end, raw.number - 1))
    text = " ".join(word.text for word in words)
    return Caption(raw.number, raw.line, start, end, text, words)


def _refused(raw: _Raw, why: str) -> OutlineError:
    return OutlineError(
        f"caption {raw.number} is refused: {why}.",
        code="bad-caption",
        remedy="Correct its times: HH:MM:SS.mmm --> HH:MM:SS.mmm, the end after the start.",
    )


def _clock_ms(text: str) -> int | None:
    match = _CLOCK.fullmatch(text)
    if match is None or int(match[3]) > 59 or int(match[4]) > 59:
        return None
    minutes = int(match[2] or 0) * 60 + int(match[3])
    total = (minutes * 60 + int(match[4])) * 1000 + int(match[5])
    return -total if match[1] else total


def _without_repeat(lines: list[str], before: Sequence[Caption], start: int) -> list[str]:
    """Take out a line that merely stays on screen from the caption before (roll-up captions)."""
    if not before or not lines or _WORD_TIME.search(lines[0]):
        return lines
    said = next((caption.text for caption in reversed(before[-5:]) if caption.text), "")
    shown = " ".join(_spoken(lines[0]).split())
    rolled = start <= before[-1].end_ms + 100 and bool(shown) and said.endswith(shown)
    timed = any(_WORD_TIME.search(line) for line in lines[1:])
    return lines[1:] if rolled and (timed or len(lines) == 1) else lines


def _spoken(text: str) -> str:
    bare = _TAG.sub("", _UNSPOKEN.sub(" ", text))
    # What an entity stands for may be anything, so it is cleaned again.
    return clean_text(html.unescape(bare), keep_line_ends=True) if "&" in bare else bare


def _words(text: str, start: int, end: int, caption: int) -> Iterator[HeardWord]:
    """Give each word its time: from the tags, else from its place among the letters."""
    pieces: list[tuple[int, str]] = [(start, "")]
    rest = 0
    for match in _TAG.finditer(text):
        at, written = pieces[-1]
        pieces[-1] = (at, written + text[rest : match.start()])
        rest = match.end()
        if _WORD_TIME.fullmatch(match[1]):
            time = _clock_ms(match[1])
            # A time that goes back or past the caption cannot be the word's.
            if time is not None and pieces[-1][0] <= time < end:
                pieces.append((time, ""))
    at, written = pieces[-1]
    pieces[-1] = (at, written + text[rest:])
    ends = [time for time, _ in pieces[1:]] + [end]
    for (piece_start, written), piece_end in zip(pieces, ends, strict=True):
        yield from _spread(_spoken(written).split(), piece_start, piece_end, caption)


def _spread(words: Sequence[str], start: int, end: int, caption: int) -> Iterator[HeardWord]:
    letters = sum(len(word) + 1 for word in words)
    passed = 0
    for word in words:
        at = start + (end - start) * passed // letters
        share = passed / letters
        passed += len(word) + 1
        stop = start + (end - start) * passed // letters
        # Words' lengths scatter by about 0.16 s around what their letters say (our own estimate,
        # no source); pinned at both ends, the scatter is that of a bridge. Twice that is given.
        within = round(2 * _SPREAD_MS * (len(words) * share * (1 - share)) ** 0.5)
        yield HeardWord(word, at, stop, min(within, end - start), caption)


def _in_order(captions: list[Caption], problems: Problems, file: str) -> tuple[Caption, ...]:
    ordered = sorted(captions, key=lambda caption: (caption.start_ms, caption.number))
    pairs = list(itertools.pairwise(ordered))
    over = [pair for pair in pairs if pair[0].end_ms > pair[1].start_ms]
    for first, second in over[:_MOST_TOLD]:
        more = f" So do {len(over) - _MOST_TOLD} more pairs." if len(over) > _MOST_TOLD else ""
        problems.warn(
            "captions-overlap",
            f"captions {first.number} and {second.number} overlap by "
            f"{first.end_ms - second.start_ms} ms from {label_ms(second.start_ms)}; both are kept."
            f"{more}",
            file=file,
            line=second.line,
            remedy="Nothing need be done if both are said at once.",
        )
    for first, second in [pair for pair in pairs if pair[0].number > pair[1].number][:_MOST_TOLD]:
        problems.warn(
            "captions-out-of-order",
            f"caption {first.number} begins before caption {second.number} "
            f"({label_ms(first.start_ms)}).",
            file=file,
            line=first.line,
            remedy="Export the captions in order of time.",
        )
    for caption in ordered:
        if caption.end_ms - caption.start_ms > _LONGEST_MS:
            problems.warn(
                "long-caption",
                f"caption {caption.number} stands for "
                f"{(caption.end_ms - caption.start_ms) / 1000:.1f} s.",
                file=file,
                line=caption.line,
                remedy="Check its end; its words cannot be placed well.",
            )
    return tuple(ordered)
