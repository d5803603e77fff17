"""Narration: paragraphs with references → sentences to read aloud, figures filled in."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from overlays.errors import OutlineError, Problems
from overlays.model.outline import Filling, Sentence
from overlays.model.result import Results
from overlays.outline.reference import parse_reference
from overlays.outline.script import CLOSE_BRACE, OPEN_BRACE, Text
from overlays.outline.spoken import Wording, word
from overlays.outline.value import resolve

__all__ = ["Narration", "fill", "fill_sentence", "word_count"]

_BRACED = re.compile(r"\{([^{}]*)\}|[{}]")
# A run of marks is tried once, from its beginning, however long it is.
_SENTENCE_END = re.compile(r"(?<![.!?…])[.!?…]++[\"'”’»)\]]*+(?=\s)")
# A full stop after these ends no sentence (common practice, no source).
_SHORTENED = {"approx", "ca", "cf", "dr", "e.g", "etc", "fig", "i.e", "incl", "max", "min", "mr",
              "mrs", "no", "nr", "st", "vs"}  # fmt: skip
_MOST_REFERENCES = 50
_NEAR = 200  # no reference is longer
_SPOKEN = re.compile(r"\w")


@dataclass(frozen=True, slots=True)
class Narration:
    """Narration of a beat.

    Parameters
    ----------
    sentences : tuple of Sentence
        In order.
    """

    sentences: tuple[Sentence, ...]

    @property
    def text(self) -> str:
        """All of it, figures filled in; paragraphs parted by an empty line."""
        return self._joined([sentence.text for sentence in self.sentences])

    @property
    def aloud(self) -> str:
        """All of it as it is read aloud, units in words."""
        return self._joined([sentence.aloud for sentence in self.sentences])

    @property
    def source(self) -> str:
        """All of it as written."""
        return self._joined([sentence.source for sentence in self.sentences])

    @property
    def figures(self) -> tuple[tuple[str, str], ...]:
        """(figure, entry) of every reference, each once, in order."""
        fillings = (filling for sentence in self.sentences for filling in sentence.fillings)
        return tuple(dict.fromkeys(pair for filling in fillings for pair in filling.figures))

    def _joined(self, texts: Sequence[str]) -> str:
        paragraphs: dict[int, list[str]] = {}
        for sentence, text in zip(self.sentences, texts, strict=True):
            paragraphs.setdefault(sentence.paragraph, []).append(text)
        return "\n\n".join(" ".join(part) for part in paragraphs.values())


def fill(texts: Sequence[Text], results: Results, problems: Problems, *, file: str) -> Narration:
    """Fill in the references of a beat's paragraphs.

    A reference that cannot be filled in stays as written, and `problems` gets one error with its
    line.
    """
    sentences = [
        fill_sentence(raw, results, problems, file=file, paragraph=paragraph, line=line)
        for paragraph, text in enumerate(texts)
        for raw, line in _sentences(text)
    ]
    return Narration(tuple(sentences))


def _sentences(paragraph: Text) -> Iterator[tuple[str, int]]:
    """Yield the sentences of a paragraph, each with the line it begins on."""
    begin, line = 0, paragraph.line
    ends = [match.end() for match in _SENTENCE_END.finditer(paragraph.text)]
    for end in [*(end for end in ends if _ends_here(paragraph.text, end)), len(paragraph.text)]:
        raw = paragraph.text[begin:end]
        lead = raw[: len(raw) - len(raw.lstrip())]
        if raw.strip():
            yield raw.strip(), line + lead.count("\n")
        begin, line = end, line + raw.count("\n")


def _ends_here(text: str, end: int) -> bool:
    near = text[max(0, end - _NEAR) : end]
    before = near.rsplit(maxsplit=1)[-1].rstrip(".!?…\"'”’»)]").casefold()
    following = text[end : end + _NEAR].lstrip()[:1]
    # "At 86.4 N·m. and so on" goes on; so does "approx. 5" and anything within a reference.
    inside = near.rfind("{") > near.rfind("}")
    goes_on = following.islower() or before.strip("(") in _SHORTENED
    return not (inside or goes_on)


def fill_sentence(
    raw: str,
    results: Results,
    problems: Problems,
    *,
    file: str,
    paragraph: int = 0,
    line: int = 1,
) -> Sentence:
    """Fill in the references of one sentence.

    Parameters
    ----------
    raw : str
        As written, line breaks kept.
    results : Results
        Where the figures come from.
    problems : Problems
        Gets an error for each reference that cannot be filled in.
    file, line
        Where the sentence begins.
    paragraph : int
        Which paragraph of its beat it belongs to.
    """
    text, end = "", 0
    fillings: list[Filling] = []
    # A sentence of nothing but braces is one fault, not thousands.
    for match in itertools.islice(_BRACED.finditer(raw), _MOST_REFERENCES):
        text += _unbroken(raw[end : match.start()])
        end, start = match.end(), len(text)
        wording: Wording | None = None
        with problems.collecting(file=file, line=line + raw.count("\n", 0, match.start())):
            wording, figures = _worded(match[1], results)
            text += wording.written
            inside = " ".join(match[1].split())
            fillings.append(Filling(start, len(text), inside, wording.aloud, figures))
        text += "" if wording else _unbroken(match[0])
    text += _unbroken(raw[end:])
    return Sentence(text, _unbroken(raw), paragraph, line, tuple(fillings))


def _worded(inside: str | None, results: Results) -> tuple[Wording, tuple[tuple[str, str], ...]]:
    if inside is None:
        raise OutlineError(
            "a brace stands alone.",
            code="bad-reference",
            remedy="Close the reference in the same sentence, or write \\{ for the brace itself.",
        )
    reference = parse_reference(inside)
    value = resolve(reference, results)
    mark = results.session.spec.episode.decimal_mark
    return word(value, reference, decimal_mark=mark), value.figures


def _unbroken(text: str) -> str:
    """Put a text on one line; blanks at its ends are kept as one."""
    return re.sub(r"\s+", " ", text).replace(OPEN_BRACE, "{").replace(CLOSE_BRACE, "}")


def word_count(text: str) -> int:
    """Count the words of a text as somebody reads them aloud."""
    return sum(1 for word in re.split(r"[\s\-–]+", text) if _SPOKEN.search(word))
