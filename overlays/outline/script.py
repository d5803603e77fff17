"""outline.md as Markdown: passages with their text and blocks, each with its line.

A level-two heading opens a passage. Paragraphs are what is read aloud; block quotes and comments
are notes to oneself and stay unread. Only two kinds of fenced block exist, ``beat`` and
``cue KIND``, both in TOML.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from markdown_it import MarkdownIt
from markdown_it.token import Token

from overlays.errors import OutlineError, Problems
from overlays.outline.block import Block, read_block
from overlays.session.stored import stored_bytes
from overlays.session.validation import closest

__all__ = ["CLOSE_BRACE", "OPEN_BRACE", "Passage", "Text", "read_script", "read_text"]

# Escaped braces (``\\{``) are carried through as these, so that they open no reference.
OPEN_BRACE, CLOSE_BRACE = "\ue000", "\ue001"
_LONGEST_BYTES = 200_000  # an hour of speech is about 60 kB
_MOST_BEATS, _MOST_BLOCKS = 2000, 5000
_LONGEST_TITLE = 200
# Half an hour of speech without an empty line, and two hours in all: reading a paragraph's markup
# takes a time that grows with its square.
_LONGEST_PARAGRAPH, _LONGEST_NARRATION = 20_000, 100_000
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029]")
# Possessive throughout: there is one way only to cut a text into comments.
_COMMENTS = re.compile(r"(?:\s*+<!--(?:(?!-->).)*+-->)*+\s*+", re.DOTALL)
_FENCE_WORDS = ("beat", "cue")


@dataclass(frozen=True, slots=True)
class Text:
    """One paragraph to read aloud; `text` keeps the line breaks of the file."""

    text: str
    line: int


@dataclass(slots=True)
class Passage:
    """What stands under one level-two heading, not yet timed."""

    title: str
    line: int
    texts: list[Text] = field(default_factory=list)
    blocks: list[Block] = field(default_factory=list)


def read_text(path: Path, *, file: str) -> str:
    """Read a text file of the session: UTF-8, with or without byte-order mark.

    Raises
    ------
    OutlineError
        If it is missing, too large, no UTF-8 text, or holds control characters.
    """
    try:
        stored = stored_bytes(
            path,
            largest=_LONGEST_BYTES,
            file=file,
            raises=OutlineError,
            remedy="An outline is text only; split the episode.",
        )
        text = stored.decode("utf-8-sig").replace("\r\n", "\n").replace("\r", "\n")
    except OSError as error:
        raise OutlineError(
            f"the file cannot be read: {error.strerror or error}.",
            code="no-outline",
            file=file,
            remedy="Write the script as outline.md in the session's folder.",
        ) from error
    except UnicodeDecodeError as error:
        line = error.object[: error.start].count(b"\n") + 1
        raise OutlineError(
            "the file is not UTF-8 text.",
            code="not-utf8",
            file=file,
            line=line,
            remedy="Save it as UTF-8.",
        ) from error
    if match := _CONTROL.search(text):
        raise OutlineError(
            f"there is a control character U+{ord(match[0]):04X}.",
            code="control-character",
            file=file,
            line=text[: match.start()].count("\n") + 1,
            remedy="Delete it: it has no place in a script.",
        )
    return text


def read_script(text: str, problems: Problems, *, file: str) -> tuple[Passage, ...]:
    """Read the script's passages; what is wrong goes to `problems` and is left out.

    Raises
    ------
    OutlineError
        If there are absurdly many passages or blocks, or a paragraph is absurdly long.
    """
    _check_lengths(text, file)
    parser = MarkdownIt("commonmark").disable("text_join")
    tokens = parser.parse(text)
    lines = text.splitlines()
    _check_count(tokens, file)
    passages: list[Passage] = []
    for token, inline in _pieces(tokens):
        line = token.map[0] + 1 if token.map else 1
        with problems.collecting(file=file, line=line):
            if token.type == "heading_open" and token.tag == "h2":
                passages.append(_opened(token, inline, line))
            elif token.type == "fence":
                _place_block(token, lines, passages, line)
            elif token.type == "paragraph_open" and passages:
                passages[-1].texts.append(Text(_plain(inline), line))
            elif token.type in ("code_block", "html_block"):
                _warn_unread(token, problems, file, line)
    return tuple(passages)


def _check_lengths(text: str, file: str) -> None:
    """Refuse what would take minutes to read, before the markup within paragraphs is looked at."""
    total = 0
    for token in MarkdownIt("commonmark").disable("inline").parse(text):
        length = len(token.content) if token.type == "inline" else 0
        total += length
        if length > _LONGEST_PARAGRAPH or total > _LONGEST_NARRATION:
            what, most = ("paragraph", _LONGEST_PARAGRAPH)
            if total > _LONGEST_NARRATION:
                what, length, most = "script up to here", total, _LONGEST_NARRATION
            raise OutlineError(
                f"the {what} has {length} letters; expected {most} at most.",
                code="text-too-long",
                file=file,
                line=token.map[0] + 1 if token.map else None,
                remedy="Part it by empty lines, or split the episode.",
            )


def _check_count(tokens: Sequence[Token], file: str) -> None:
    beats = sum(token.type == "heading_open" for token in tokens)
    blocks = sum(token.type == "fence" for token in tokens)
    if beats > _MOST_BEATS or blocks > _MOST_BLOCKS:
        raise OutlineError(
            f"there are {beats} headings and {blocks} blocks; "
            f"expected at most {_MOST_BEATS} and {_MOST_BLOCKS}.",
            code="too-many-beats",
            file=file,
            remedy="Split the episode.",
        )


def _pieces(tokens: Sequence[Token]) -> Iterator[tuple[Token, Token | None]]:
    """Yield each block outside quotes, with the inline token that holds its text."""
    quotes = 0
    for token, following in itertools.zip_longest(tokens, tokens[1:]):
        quotes += (token.type == "blockquote_open") - (token.type == "blockquote_close")
        if not quotes:
            inline = following if following is not None and following.type == "inline" else None
            yield token, inline


def _plain(inline: Token | None) -> str:
    """Return the words of a paragraph, without their markup, line breaks kept."""
    parts = []
    for child in (inline.children or []) if inline else []:
        if child.type in ("softbreak", "hardbreak"):
            parts.append("\n")
        elif child.type == "text_special" and child.content in ("{", "}"):
            parts.append(OPEN_BRACE if child.content == "{" else CLOSE_BRACE)
        elif child.type in ("text", "text_special", "code_inline"):
            parts.append(child.content)
    return "".join(parts)


def _opened(token: Token, inline: Token | None, line: int) -> Passage:
    title = " ".join(_plain(inline).split())
    if token.markup != "##":
        raise OutlineError(
            f"the text {title[:40]!r} is underlined with '---', which makes it a heading.",
            code="underlined-heading",
            remedy="Leave an empty line before '---', or write the heading as '## …'.",
        )
    if not title or len(title) > _LONGEST_TITLE:
        raise OutlineError(
            f"a beat's heading has {len(title)} letters; expected 1 to {_LONGEST_TITLE}.",
            code="bad-heading",
            remedy="Write a short heading after '##'.",
        )
    return Passage(title.replace(OPEN_BRACE, "{").replace(CLOSE_BRACE, "}"), line)


def _place_block(token: Token, lines: Sequence[str], passages: list[Passage], line: int) -> None:
    words = token.info.split()
    if not words:
        raise OutlineError(
            "a fenced block has no word after its first fence; expected 'beat' or 'cue KIND'.",
            code="unknown-block",
            remedy="Name it, or quote a note to yourself with '>'.",
        )
    if words[0] not in _FENCE_WORDS or len(words) != {"beat": 1, "cue": 2}[words[0]]:
        raise OutlineError(
            f"{token.info.strip()[:60]!r} is no block of an outline; "
            f"expected 'beat' or 'cue KIND'.",
            code="unknown-block",
            remedy=f"{closest(words[0], _FENCE_WORDS)} Write ```beat or, say, ```cue curves.",
        )
    _check_closed(token, lines)
    if not passages:
        raise OutlineError(
            f"a {words[0]} stands before the first beat.",
            code="block-before-beat",
            remedy="Put it under a heading '## …'.",
        )
    passages[-1].blocks.append(read_block(words[-1], token.content, line=line))


def _check_closed(token: Token, lines: Sequence[str]) -> None:
    # An unclosed block swallows the rest of the script without a word: '## …' is a TOML comment.
    last = lines[token.map[1] - 1].strip() if token.map else ""
    if not (last.startswith(token.markup) and set(last) == {token.markup[0]}):
        raise OutlineError(
            "the block is never closed, so it swallows all that follows.",
            code="unclosed-block",
            remedy=f"Close it with a line {token.markup}.",
        )


def _warn_unread(token: Token, problems: Problems, file: str, line: int) -> None:
    if token.type == "html_block" and _COMMENTS.fullmatch(token.content):
        return
    what = "indented by four spaces" if token.type == "code_block" else "written as HTML"
    problems.warn(
        "text-not-read",
        f"text {what} is not part of the narration.",
        file=file,
        line=line,
        remedy="Write it as a plain paragraph, or as a note with '>'.",
    )
