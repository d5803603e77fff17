"""What a reference stands for: the number, its unit and how it is written."""

from __future__ import annotations

from dataclasses import dataclass

from overlays.errors import OutlineError
from overlays.model.result import Results
from overlays.numbers import rounded
from overlays.outline.reference import Operand, Reference
from overlays.session.validation import closest
from overlays.units import convert, convert_difference, difference_unit, per, same_dimension

__all__ = ["Value", "look_up", "resolve"]

_RATIO_PLACES = 2


@dataclass(frozen=True, slots=True)
class Value:
    """A number in narration, unrounded.

    Parameters
    ----------
    value : float
        In `unit`.
    unit : str
        As Pint reads it; empty for a plain number.
    places : int
        Decimals to write.
    figures : tuple of (str, str)
        (figure, entry) it draws on; attributes are no figures.
    """

    value: float
    unit: str
    places: int
    figures: tuple[tuple[str, str], ...]


def look_up(operand: Operand, results: Results) -> Value:
    """Return an entry's figure or attribute.

    Raises
    ------
    OutlineError
        If there is no such entry, figure or attribute, or the figure is missing: then with the
        reason.
    """
    spec = results.session.spec
    entry = spec.entries.get(operand.entry)
    if entry is None:
        raise OutlineError(
            f"there is no entry {operand.entry!r}.",
            code="unknown-entry",
            remedy=closest(operand.entry, list(spec.entries)),
        )
    figure = results.figures.get((operand.name, operand.entry))
    if figure is not None and figure.value is not None:
        of = ((operand.name, operand.entry),)
        return Value(figure.value, figure.unit, figure.places, of)
    if figure is not None or operand.name in spec.figures:
        why = figure.why_missing if figure is not None else ""
        raise OutlineError(
            f"{entry.label} has no {operand.name!r}: {why or 'it was not worked out'}.",
            code="missing-figure",
            remedy="Run the test, or take the sentence out.",
        )
    attribute = entry.attributes.get(operand.name)
    if attribute is not None:
        return Value(attribute.value, attribute.unit, attribute.places, ())
    known = [*spec.figures, *entry.attributes]
    raise OutlineError(
        f"{operand.entry!r} has neither a figure nor an attribute {operand.name!r}.",
        code="unknown-figure",
        remedy=closest(operand.name, known),
    )


def resolve(reference: Reference, results: Results) -> Value:
    """Work out a reference.

    Raises
    ------
    OutlineError
        As `look_up`, and for a ratio to zero or a comparison of unlike things.
    UnitError
        If units do not fit together, or the unit asked for is unknown or measures something else.
    """
    found = look_up(reference.first, results)
    difference = reference.operation == "minus"
    if reference.second is not None:
        other = look_up(reference.second, results)
        found = (
            _difference(found, other, reference.places)
            if difference
            else _ratio(found, other, reference)
        )
    value, unit, places = found.value, found.unit, found.places
    if reference.unit is not None:
        convert_it = convert_difference if difference else convert
        value, unit = convert_it(value, unit, reference.unit), reference.unit
        places = 0 if unit == "%" and found.unit == "" else places
    if reference.operation == "against":
        value, unit, places = (value - 1) * 100, "%", 0
    places = places if reference.places is None else reference.places
    return Value(value, unit, places, found.figures)


def _difference(a: Value, b: Value, asked: int | None) -> Value:
    """Subtract values as they are shown, for that is the sum a viewer does.

    More decimals than are shown may be asked for; then what was measured is subtracted.
    """
    # 20 °C and 68 °F are the same temperature: both are brought to one unit before.
    second = convert(b.value, b.unit, a.unit)
    places = max(a.places, b.places)
    if asked is None or asked <= places:
        value = float(rounded(a.value, a.places) - rounded(second, b.places))
    else:
        value = a.value - second
    figures = tuple(dict.fromkeys(a.figures + b.figures))
    return Value(value, difference_unit(a.unit), places, figures)


def _ratio(a: Value, b: Value, reference: Reference) -> Value:
    if b.value == 0 and reference.second is not None:
        raise OutlineError(
            f"{reference.second.entry} {reference.second.name} is zero; nothing can be divided "
            "by it.",
            code="ratio-to-zero",
            remedy="Use 'minus', or take the sentence out.",
        )
    figures = tuple(dict.fromkeys(a.figures + b.figures))
    if same_dimension(a.unit, b.unit):
        return Value(a.value / convert(b.value, b.unit, a.unit), "", _RATIO_PLACES, figures)
    if reference.operation == "against":
        raise OutlineError(
            f"{a.unit or 'a plain number'} cannot be set against {b.unit or 'a plain number'}.",
            code="unlike-figures",
            remedy="Compare figures that measure the same thing, or write 'over'.",
        )
    return Value(a.value / b.value, per(a.unit, b.unit), _RATIO_PLACES, figures)
