"""What is said of a place's runs, in words: flags first, then what the bench noted."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from overlays.model.result import Results
from overlays.numbers import fixed, typeset
from overlays.turnover.look.flags import flags_of_place
from overlays.turnover.look.seen import SeenPlace
from overlays.turnover.look.view import TestView
from overlays.units import symbol

__all__ = ["LEADS", "Word", "words_of"]

LEADS = {"flag": "Flag", "left out": "Left out", "note": "Note", "runs": "Runs", "log": "Log"}
"""What stands before a `Word` of a kind."""


@dataclass(frozen=True, slots=True)
class Word:
    """One thing that is said.

    Parameters
    ----------
    kind : {"flag", "left out", "note", "runs", "log"}
        A flag is to be looked at before the figures are trusted.
    text : str
        A sentence.
    """

    kind: Literal["flag", "left out", "note", "runs", "log"]
    text: str


def words_of(results: Results, view: TestView, place: SeenPlace) -> tuple[Word, ...]:
    """Return what is said of a place; how its logs were read and conditioned is told apart.

    Parameters
    ----------
    results : Results
        Of the session.
    view : TestView
        The axes of the picture.
    place : SeenPlace
        The runs.
    """
    spec = results.session.spec
    words = [Word("flag", _sentence(text)) for text in flags_of_place(spec, view, place)]
    for seen in place.runs:
        if not seen.ref.use:
            reason = seen.ref.note or "no reason is given"
            words.append(Word("left out", _sentence(f"{seen.name}: {reason}")))
        elif seen.ref.note:
            words.append(Word("note", _sentence(f"{seen.name}: {seen.ref.note}")))
    words += [Word("runs", _sentence(text)) for text in _scatter(results, place)]
    return tuple(words)


def _scatter(results: Results, place: SeenPlace) -> Iterator[str]:
    """Tell how far the runs scatter by the main figure, and whether they meet the test's rule."""
    judged = place.judged
    if judged is None:
        return
    figure = results.figures[judged.figure, place.entry]
    mark, unit = results.session.spec.episode.decimal_mark, symbol(figure.unit)

    def shown(value: float) -> str:
        # One decimal more than the figure: a scatter is smaller than what scatters.
        return f"{typeset(fixed(value, figure.places + 1), decimal_mark=mark)} {unit}".rstrip()

    if judged.spread is not None and judged.spread.s is not None:
        label = results.session.spec.figures[judged.figure].label
        text = (
            f"{label}: mean {shown(judged.spread.mean)} of {judged.spread.n}, standard deviation "
            f"{shown(judged.spread.s)}"
        )
        if judged.repeatability is not None:
            limit = shown(judged.repeatability.limit)
            text += f"; two runs of one entry differ by more than {limit} once in twenty"
        yield text
    if judged.accepted:
        yield f"the repeats meet the test's rule: {judged.why}"


def _sentence(text: str) -> str:
    text = text.strip()
    return text[:1].upper() + text[1:] + ("" if text.endswith((".", "?", "!")) else ".")
