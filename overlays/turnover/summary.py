"""The text for the description under the video: results, how sure they are, and cautions."""

from __future__ import annotations

from collections.abc import Iterator

from overlays.model.plain_text import clean_text
from overlays.model.result import Figure, Results, Standing
from overlays.numbers import fixed, typeset
from overlays.units import symbol

__all__ = ["figure_text", "summary_text"]

_CLOSING = (
    "Every figure is that of the median run of its repeats; the spread is the largest repeat less "
    "the smallest. The results hold for the pieces tested, as they were tested."
)
_CAUTION = (
    "Work on machinery can injure. Follow the maker's instructions and the local codes that apply "
    "to you, and leave licensed work to those who hold the licence."
)


def summary_text(results: Results, chapters: str) -> str:
    """Write the results of a session in plain text, its cautions, and its chapters.

    Parameters
    ----------
    results : Results
        Of the session.
    chapters : str
        The chapter list, put at the end.
    """
    spec = results.session.spec
    mark = spec.episode.decimal_mark
    where = ", ".join(filter(None, (spec.episode.season, f"episode {spec.episode.number}")))
    blocks = [
        [clean_text(spec.episode.title), clean_text(where)],
        ["RESULTS", *_places(results, mark)],
        ["FIGURES", *_figures(results, mark)],
        ["RUNS LEFT OUT", *_left_out(results)],
        [_CLOSING],
        ["CAUTIONS", *(f"- {clean_text(text)}" for text in spec.episode.cautions), f"- {_CAUTION}"],
        ["CHAPTERS", *chapters.splitlines()],
    ]
    # A heading with nothing below it says nothing.
    shown = [block for block in blocks if len(block) > 1 or block == [_CLOSING]]
    return "\n\n".join("\n".join(block) for block in shown) + "\n"


def _places(results: Results, mark: str) -> Iterator[str]:
    for standing in results.standings:
        score = standing.row.score
        if standing.in_session and score is not None:
            places = max(0, -int(score.as_tuple().exponent))
            written = typeset(fixed(score, places), decimal_mark=mark)
            yield f"{_rank(standing)}{clean_text(standing.row.name)}: {written} points"


def _rank(standing: Standing) -> str:
    return "" if standing.row.rank is None else f"{standing.row.rank}. "


def _figures(results: Results, mark: str) -> Iterator[str]:
    spec = results.session.spec
    for key, figure in spec.figures.items():
        values = [
            f"{clean_text(entry.label)} {figure_text(found, mark)}"
            for name, entry in spec.entries.items()
            if (found := results.figures.get((key, name))) is not None
        ]
        if values:
            yield f"{clean_text(figure.label)}: {'; '.join(values)}"


def _left_out(results: Results) -> Iterator[str]:
    """Tell every run that the bench left out, with its reason: a viewer may ask."""
    spec = results.session.spec
    for ref in results.session.runs:
        if not ref.use and ref.test in spec.tests and ref.entry in spec.entries:
            test, entry = spec.tests[ref.test].label, spec.entries[ref.entry].label
            reason = clean_text(ref.note).rstrip(". ") or "no reason given"
            yield f"{clean_text(test)}, {clean_text(entry)}, run {ref.repeat}: {reason}."


def figure_text(figure: Figure, mark: str) -> str:
    """Write a figure with its unit, repeats and spread.

    Examples
    --------
    >>> figure_text(
    ...     Figure("peak", "alder", None, 231.04, "N*m", 1, "231.0", (230.0, 232.5), 1, 2.5, 2), ","
    ... )
    '231,0 N·m (n = 2, spread 2,5)'
    """
    if figure.value is None:
        why = clean_text(figure.why_missing)
        return f"– ({why})" if why else "–"
    number = typeset(clean_text(figure.shown), decimal_mark=mark)
    unit = symbol(figure.unit)
    result = f"{number} {unit}".rstrip()
    if figure.spread is None:
        return f"{result} (n = {figure.n})" if figure.n else result
    spread = typeset(fixed(figure.spread, figure.places), decimal_mark=mark)
    return f"{result} (n = {figure.n}, spread {spread})"
