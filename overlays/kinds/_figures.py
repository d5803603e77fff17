"""What several kinds take from results: figures ready to be set, and words about them."""

from __future__ import annotations

from dataclasses import dataclass

from overlays.errors import OutlineError
from overlays.model.result import Figure, Results
from overlays.units import symbol

__all__ = ["Shown", "shown_attribute", "shown_figure"]


@dataclass(frozen=True, slots=True)
class Shown:
    """A figure ready to be set.

    Parameters
    ----------
    figure : str
        Its key.
    label : str
        What it is called.
    text : str
        The number as `overlays.numbers.fixed` wrote it; a dash where there is none.
    unit : str
        As set on screen.
    note : str
        What must be said beside it, such as fewer repeats than planned; else empty.
    claim_share : float or None
        Measured against claimed, 1 being all of it; None where the figure is something else.
    """

    figure: str
    label: str
    text: str
    unit: str
    note: str = ""
    claim_share: float | None = None


def shown_figure(results: Results, figure: str, entry: str) -> Shown:
    """Return an entry's figure ready to be set.

    Raises
    ------
    OutlineError
        If there is no such figure of this entry.
    """
    found = results.figures.get((figure, entry))
    if found is None:
        raise OutlineError(
            f"there is no figure {figure!r} of {entry!r}.",
            code="no-figure",
            field="figures",
            remedy="Name a figure whose test this entry has run.",
        )
    spec = results.session.spec.figures[figure]
    unit = symbol(found.unit) if found.value is not None else ""
    return Shown(
        figure, spec.label, found.shown, unit, _note(results, found), _claim(results, found)
    )


def _note(results: Results, figure: Figure) -> str:
    if figure.test is None or figure.value is None:
        return ""
    planned = results.session.spec.tests[figure.test].repeats
    return f"{figure.n} of {planned} runs" if figure.n < planned else ""


def _claim(results: Results, figure: Figure) -> float | None:
    """Return the share where a figure is a percentage of one of its entry's attributes."""
    spec = results.session.spec
    by = getattr(spec.figures[figure.figure], "by", None)
    claimed = by in spec.entries[figure.entry].attributes if figure.entry in spec.entries else False
    if figure.value is None or figure.unit not in ("%", "percent") or not claimed:
        return None
    return figure.value / 100


def shown_attribute(results: Results, attribute: str, entry: str) -> tuple[str, str]:
    """Return an entry's attribute as (number, unit).

    Raises
    ------
    OutlineError
        If the entry has no such attribute.
    """
    attributes = results.session.spec.entries[entry].attributes
    if attribute not in attributes:
        raise OutlineError(
            f"{entry!r} has no attribute {attribute!r}; it has: {', '.join(attributes) or 'none'}.",
            code="no-attribute",
            field="attributes",
            remedy=f"Add it to [entries.{entry}], or take it out of the cue.",
        )
    quantity = attributes[attribute]
    return f"{quantity.value:.{quantity.places}f}", symbol(quantity.unit)
