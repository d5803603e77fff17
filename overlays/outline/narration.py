"""Narration: paragraphs with references → what is read aloud, figures filled in."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from overlays.errors import OutlineError, Problems
from overlays.model.result import Results
from overlays.outline.reference import Reference, parse_reference
from overlays.outline.script import CLOSE_BRACE, OPEN_BRACE, Text
from overlays.outline.value import Value, resolve, written_out

__all__ = ["Filled", "fill", "word_count"]

_BRACED = re.compile(r"\{([^{}]*)\}|[{}]")
_SPOKEN = re.compile(r"\w")


@dataclass(frozen=True, slots=True)
class Filled:
    """Narration of a beat.

    Parameters
    ----------
    text : str
        Figures filled in; paragraphs parted by an empty line.
    source : str
        The same as written.
    figures : tuple of (str, str)
        (figure, entry) of every reference, each once, in order.
    """

    text: str
    source: str
    figures: tuple[tuple[str, str], ...]


def fill(texts: Sequence[Text], results: Results, problems: Problems, *, file: str) -> Filled:
    """Fill in the references of a beat's paragraphs.

    A reference that cannot be filled in stays as written, and `problems` gets one error with its
    line.
    """
    figures: dict[tuple[str, str], None] = {}
    paragraphs: list[str] = []
    for paragraph in texts:
        parts: list[str] = []
        end = 0
        for match in _BRACED.finditer(paragraph.text):
            parts += [paragraph.text[end : match.start()], match[0]]
            end = match.end()
            line = paragraph.line + paragraph.text.count("\n", 0, match.start())
            with problems.collecting(file=file, line=line):
                reference, value = _resolved(match[1], results)
                parts[-1] = written_out(
                    value,
                    bare=reference.bare,
                    decimal_mark=results.session.spec.episode.decimal_mark,
                )
                figures |= dict.fromkeys(value.figures)
        paragraphs.append(_unbroken("".join([*parts, paragraph.text[end:]])))
    source = "\n\n".join(_unbroken(paragraph.text) for paragraph in texts)
    return Filled("\n\n".join(paragraphs), source, tuple(figures))


def _resolved(inside: str | None, results: Results) -> tuple[Reference, Value]:
    if inside is None:
        raise OutlineError(
            "a brace stands alone.",
            code="bad-reference",
            remedy="Close the reference on the same paragraph, or write \\{ for the brace itself.",
        )
    reference = parse_reference(inside)
    return reference, resolve(reference, results)


def _unbroken(text: str) -> str:
    return " ".join(text.split()).replace(OPEN_BRACE, "{").replace(CLOSE_BRACE, "}")


def word_count(text: str) -> int:
    """Count the words of a text as somebody reads them aloud."""
    return sum(1 for word in text.split() if _SPOKEN.search(word))
