"""After a re-test: which sentences have to be said differently, and when they are said."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from overlays.errors import TracereelError
from overlays.model.outline import Beat, Filling, Outline, Sentence
from overlays.model.result import Results
from overlays.outline.reference import parse_reference
from overlays.outline.speech.findings import Finding, script_findings
from overlays.outline.spoken import word
from overlays.outline.value import resolve
from overlays.units import symbol

__all__ = ["Change", "Resay", "resay"]


@dataclass(frozen=True, slots=True)
class Change:
    """What is said for one number, before and now.

    Parameters
    ----------
    before, now : str
        The words; `now` says what is wrong where the number cannot be had any more.
    figures : tuple of (str, str)
        (figure, entry) it draws on.
    typed : bool
        Whether it is typed by hand: `now` is then what the data says nearest to it.
    """

    before: str
    now: str
    figures: tuple[tuple[str, str], ...]
    typed: bool = False


@dataclass(frozen=True, slots=True)
class Resay:
    """A sentence to be said again.

    Parameters
    ----------
    beat : str
        Id of its beat.
    line : int
        Line in the outline.
    first_frame, frames : int
        When it is said now, for a pick-up recording.
    before, now : str
        The sentence as it was read aloud, and as it has to be; typed numbers stay as they are.
    changes : tuple of Change
        What differs.
    """

    beat: str
    line: int
    first_frame: int
    frames: int
    before: str
    now: str
    changes: tuple[Change, ...]


def resay(outline: Outline, old: Results, new: Results) -> tuple[Resay, ...]:
    """List the sentences whose numbers changed enough to be said differently.

    A figure that moved by less than the rounding it is said in changes nothing: "about 85" stays
    "about 85".

    Parameters
    ----------
    outline : Outline
        The script, timed.
    old, new : Results
        Before and after the re-test.
    """
    typed = _typed(outline, old, new)
    found: list[Resay] = []
    for beat in outline.beats:
        for place, sentence in enumerate(beat.sentences):
            before, now = _spoken(sentence, old), _spoken(sentence, new)
            changes = [
                Change(was, new_words, filling.figures)
                for filling, was, new_words in zip(sentence.fillings, before, now, strict=True)
                if was != new_words
            ]
            changes += typed.get((beat.beat, sentence.line, sentence.text), [])
            if changes:
                frames = _end(beat, place) - sentence.first_frame
                found.append(
                    Resay(
                        beat=beat.beat,
                        line=sentence.line,
                        first_frame=sentence.first_frame,
                        frames=frames,
                        before=_with(sentence, before),
                        now=_with(sentence, now),
                        changes=tuple(changes),
                    )
                )
    return tuple(found)


def _spoken(sentence: Sentence, results: Results) -> list[str]:
    return [_aloud(filling, results) for filling in sentence.fillings]


def _aloud(filling: Filling, results: Results) -> str:
    reference = parse_reference(filling.reference)
    try:
        value = resolve(reference, results)
    except TracereelError as error:
        # The number is gone: that is what the reader of the list has to know.
        return f"({error.message.rstrip('.')})"
    mark = results.session.spec.episode.decimal_mark
    return word(value, reference, decimal_mark=mark).aloud


def _with(sentence: Sentence, words: list[str]) -> str:
    parts: list[str] = []
    end = 0
    for filling, spoken in zip(sentence.fillings, words, strict=True):
        parts += [sentence.text[end : filling.start], spoken]
        end = filling.end
    return "".join([*parts, sentence.text[end:]])


def _end(beat: Beat, place: int) -> int:
    following = beat.sentences[place + 1 : place + 2]
    return following[0].first_frame if following else beat.first_frame + beat.frames


def _typed(
    outline: Outline, old: Results, new: Results
) -> dict[tuple[str, int | None, str], list[Change]]:
    """Return the numbers typed by hand that the old data bore out and the new does not."""
    changes: dict[tuple[str, int | None, str], list[Change]] = {}
    for was, now in _both(outline, old, new):
        if was.verdict == "supported" and now.verdict != "supported":
            near = was.judgement.candidate
            figures = near.figures if near is not None else ()
            change = Change(was.said, _now(was, now, new), figures, typed=True)
            changes.setdefault((was.spot.beat, was.spot.line, was.sentence), []).append(change)
    return changes


def _both(outline: Outline, old: Results, new: Results) -> Iterator[tuple[Finding, Finding]]:
    # The same sentences give the same claims, in the same order.
    return zip(script_findings(outline, old), script_findings(outline, new), strict=True)


def _now(was: Finding, now: Finding, new: Results) -> str:
    """Say what became of the value the number was: the very same figure, where there is one."""
    near = was.judgement.candidate
    if near is not None and len(near.figures) == 1:
        figure = new.figures.get(near.figures[0])
        if figure is not None and figure.value is not None:
            return f"{figure.shown} {symbol(figure.unit)}".rstrip()
        return "–"
    return now.data or "–"
