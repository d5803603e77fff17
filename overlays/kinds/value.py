"""Value: a figure against price, mass or size, and what is the best to be had for it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import ClassVar, Literal

from overlays.draw.patch import Scene
from overlays.errors import OutlineError, UnitError
from overlays.kinds._measured import figures_of, headline, median_files, place_of, runs_caption
from overlays.kinds._value_scene import Spot, ValueContent, value_scene
from overlays.kinds.base import Overlay
from overlays.model.clip import Stage
from overlays.model.result import Figure, Results
from overlays.numbers import fixed
from overlays.session.validation import closest
from overlays.style.house import Style
from overlays.units import Quantity, convert, symbol

__all__ = ["Value", "frontier"]


@dataclass(frozen=True, kw_only=True)
class Value(Overlay[ValueContent]):
    """A figure against an attribute.

    Parameters
    ----------
    figure : str
        The figure, upwards.
    attribute : str
        The attribute, across.
    better : {"lower", "higher"}
        Whether less or more of the attribute is better: a lower price, mass or size where it is
        left out. Which way the figure is better says the session.
    entries : tuple of str
        Which entries; all of the session that have both where it is left out.
    title : str
        Instead of the figure's label.
    """

    kind: ClassVar[str] = "value"

    figure: str
    attribute: str
    better: Literal["lower", "higher"] = "lower"
    entries: tuple[str, ...] = ()
    title: str = ""

    def names(self) -> Iterable[tuple[str, Sequence[str], str]]:
        """Return what the options name."""
        return (("figure", (self.figure,), "figures"), ("entries", self.entries, "entries"))

    def content(self, results: Results) -> ValueContent:
        """Take both of every entry. Raises `OutlineError` where none has both, or units clash."""
        spec = results.session.spec
        found = figures_of(results, self.figure, self.entries)
        known = dict.fromkeys(a for one in spec.entries.values() for a in one.attributes)
        if self.attribute not in known:
            raise OutlineError(
                f"no entry has an attribute {self.attribute!r}.",
                code="no-attribute",
                field="attribute",
                remedy=closest(self.attribute, list(known)),
            )
        both = [
            one
            for one in found
            if one.value is not None and self.attribute in spec.entries[one.entry].attributes
        ]
        if not both:
            raise OutlineError(
                f"no entry of this cue has both {self.figure!r} and {self.attribute!r}.",
                code="no-figure",
                field="attribute",
                remedy="Add the attribute to the entries, or name others.",
            )
        quantities = [spec.entries[one.entry].attributes[self.attribute] for one in both]
        spots = self._spots(results, both, quantities)
        less, lower = self.better == "lower", spec.figures[self.figure].better == "lower"
        spots.sort(key=lambda spot: spot.attribute if less else -spot.attribute)
        what, unit = self.attribute.replace("_", " "), symbol(quantities[0].unit)
        label, figure_unit = spec.figures[self.figure].label, symbol(both[0].unit)
        return ValueContent(
            figures=tuple((self.figure, one.entry) for one in both),
            runs=median_files(results, both),
            title=self.title or f"{headline(label)}, by {what}",
            caption=(
                f"{label}, {figure_unit}" if figure_unit else label,
                *runs_caption(results, both),
                *(("lower is better",) if lower else ()),
                f"line: the best for the {what}",
                *_left_out(results, found, both, what),
            ),
            across=f"{what}, {unit}" if unit else what,
            across_unit=unit,
            unit=figure_unit,
            spots=tuple(spots),
            frontier=frontier(
                [(Decimal(spot.says[0]), Decimal(spot.says[1])) for spot in spots],
                less=less,
                lower=lower,
            ),
            less=less,
            lower=lower,
        )

    def _spots(
        self, results: Results, figures: Sequence[Figure], quantities: Sequence[Quantity]
    ) -> list[Spot]:
        unit, spots = quantities[0].unit, []
        places = max(quantity.places for quantity in quantities)
        for figure, quantity in zip(figures, quantities, strict=True):
            try:
                attribute = convert(quantity.value, quantity.unit, unit)
            except UnitError as error:
                raise OutlineError(
                    f"{self.attribute!r} of {figure.entry!r} cannot stand beside the others: "
                    f"{error.message}",
                    code="unit-clash",
                    field="attribute",
                    remedy="Give it in the same kind of unit for every entry.",
                ) from error
            spots.append(
                Spot(
                    name=results.session.spec.entries[figure.entry].label,
                    colour=place_of(results, figure.entry),
                    attribute=attribute,
                    figure=figure.value if figure.value is not None else 0.0,
                    says=(fixed(attribute, places), figure.shown),
                )
            )
        return spots

    @classmethod
    def lay_out(cls, content: ValueContent, stage: Stage, style: Style) -> Scene:
        """Draw the spots between their rules."""
        return value_scene(content, stage, style)

    @classmethod
    def describe(cls, content: ValueContent) -> str:
        """Say both numbers of every entry, and who is on the frontier."""
        told = [
            f"{spot.name} {spot.says[1]} {content.unit}".rstrip()
            + f" for {spot.says[0]} {content.across_unit}".rstrip()
            for spot in content.spots
        ]
        best = ", ".join(content.spots[index].name for index in content.frontier)
        return f"{content.title}: {'; '.join(told)}. Bettered by none in both: {best}."

    @classmethod
    def natural_s(cls, content: ValueContent) -> float:
        """Return the time for each entry and then the line to come, and be read."""
        return 5.5 + 1.3 * len(content.spots)


def _left_out(
    results: Results, found: Sequence[Figure], both: Sequence[Figure], what: str
) -> tuple[str, ...]:
    """Say who is not shown, and why."""
    shown = {one.entry for one in both}
    return tuple(
        f"without {results.session.spec.entries[one.entry].label}: "
        + (one.why_missing if one.value is None else f"no {what}")
        for one in found
        if one.entry not in shown
    )


def frontier(
    points: Sequence[tuple[Decimal, Decimal]], *, less: bool, lower: bool
) -> tuple[int, ...]:
    """Return the points that no other betters in one without being worse in the other.

    Parameters
    ----------
    points : sequence of (Decimal, Decimal)
        Attribute and figure, as shown.
    less, lower : bool
        Whether less of the attribute, and a lower figure, is better.

    Returns
    -------
    tuple of int
        The best attribute first; equal points are all on the frontier.

    Examples
    --------
    >>> frontier([(Decimal(10), Decimal(5)), (Decimal(12), Decimal(4)), (Decimal(20), Decimal(9))],
    ...          less=True, lower=False)
    (0, 2)
    """
    costs = [
        (attribute if less else -attribute, figure if lower else -figure)
        for attribute, figure in points
    ]
    best = [
        index
        for index, (attribute, figure) in enumerate(costs)
        if not any(
            a <= attribute and f <= figure and (a, f) != (attribute, figure) for a, f in costs
        )
    ]
    return tuple(sorted(best, key=lambda index: (costs[index], index)))
