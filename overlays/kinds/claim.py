"""Claim: what was measured against what is claimed, of one entry or of all."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import ClassVar

from overlays.draw.patch import Scene
from overlays.errors import OutlineError, UnitError
from overlays.kinds._claim_scene import ClaimContent, ClaimRow, claim_scene
from overlays.kinds._figures import shown_figure
from overlays.kinds._measured import (
    figures_of,
    headline,
    median_files,
    place_of,
    runs_caption,
)
from overlays.kinds.base import Overlay
from overlays.model.clip import Stage
from overlays.model.figurespec import RatioFigure
from overlays.model.result import Figure, Results
from overlays.numbers import fixed
from overlays.session.validation import closest
from overlays.style.house import Style
from overlays.units import convert, symbol

__all__ = ["Claim"]

_MISSING = "–"


@dataclass(frozen=True, kw_only=True)
class Claim(Overlay[ClaimContent]):
    """Measured against claimed.

    Parameters
    ----------
    figure : str
        What was measured.
    claim : str
        The attribute that says what is claimed, in a unit like the figure's.
    entries : tuple of str
        Which entries; all of the session that claim something where it is left out.
    title : str
        Instead of the figure's label.
    """

    kind: ClassVar[str] = "claim"

    figure: str
    claim: str
    entries: tuple[str, ...] = ()
    title: str = ""

    def names(self) -> Iterable[tuple[str, Sequence[str], str]]:
        """Return what the options name."""
        return (("figure", (self.figure,), "figures"), ("entries", self.entries, "entries"))

    def content(self, results: Results) -> ClaimContent:
        """Set the figure against the claim.

        Raises
        ------
        OutlineError
            If no entry claims or has it, a named one does not claim it, or units do not fit.
        """
        spec = results.session.spec
        claiming = [key for key, entry in spec.entries.items() if self.claim in entry.attributes]
        silent = [entry for entry in self.entries if entry not in claiming]
        if silent or not claiming:
            known = dict.fromkeys(a for entry in spec.entries.values() for a in entry.attributes)
            raise OutlineError(
                f"{silent[0] if silent else 'no entry'!r} has no attribute {self.claim!r}."
                if silent
                else f"no entry has an attribute {self.claim!r}.",
                code="no-attribute",
                field="claim",
                remedy=closest(self.claim, list(known)),
            )
        found = figures_of(results, self.figure, self.entries or tuple(claiming))
        unit = next(one.unit for one in found if one.value is not None)
        ratio = _ratio(results, self.figure, self.claim)
        rows = tuple(self._row(results, one, unit, ratio) for one in found)
        figures = [(self.figure, one.entry) for one in found]
        figures += [(ratio, one.entry) for one in found if ratio]
        label = spec.figures[self.figure].label
        return ClaimContent(
            figures=tuple(figures),
            runs=median_files(results, found),
            title=self.title or headline(label),
            caption=("measured, of what is claimed", *runs_caption(results, found)),
            unit=symbol(unit),
            rows=rows,
        )

    def _row(self, results: Results, figure: Figure, unit: str, ratio: str) -> ClaimRow:
        entry = results.session.spec.entries[figure.entry]
        quantity = entry.attributes[self.claim]
        try:
            claimed = convert(quantity.value, quantity.unit, unit)
        except UnitError as error:
            raise OutlineError(
                f"{self.claim!r} of {figure.entry!r} cannot be set against {self.figure!r}: "
                f"{error.message}",
                code="unit-clash",
                field="claim",
                remedy="Name the attribute that claims this figure.",
            ) from error
        same = symbol(quantity.unit) == symbol(unit)
        note = shown_figure(results, figure.figure, figure.entry).note
        return ClaimRow(
            name=entry.label,
            colour=place_of(results, figure.entry),
            claimed=claimed,
            measured=figure.value,
            claimed_text=fixed(claimed, quantity.places if same else figure.places),
            measured_text=figure.shown,
            percent=_percent(results, figure, claimed, ratio),
            note=figure.why_missing if figure.value is None else note,
        )

    @classmethod
    def lay_out(cls, content: ClaimContent, stage: Stage, style: Style) -> Scene:
        """Draw rules and bars."""
        return claim_scene(content, stage, style)

    @classmethod
    def describe(cls, content: ClaimContent) -> str:
        """Say what was measured of what is claimed, and the percentage."""
        unit = f" {content.unit}" if content.unit else ""
        told = []
        for row in content.rows:
            note = f" ({row.note})" if row.note else ""
            told.append(
                f"{row.name} {row.measured_text} of {row.claimed_text}{unit} claimed"
                + (f", {row.percent} %" if row.measured is not None else "")
                + note
            )
        return f"{content.title}: {'; '.join(told)}."

    @classmethod
    def natural_s(cls, content: ClaimContent) -> float:
        """Return the time for each row to come and be read."""
        return 4.0 + 1.6 * len(content.rows)


def _ratio(results: Results, figure: str, claim: str) -> str:
    """Return the session's own figure of the percentage, so that there is but one; else nothing."""
    for key, spec in results.session.spec.figures.items():
        if not isinstance(spec, RatioFigure) or spec.unit not in ("%", "percent"):
            continue
        if (spec.of, spec.by, spec.times) == (figure, claim, None):
            return key
    return ""


def _percent(results: Results, figure: Figure, claimed: float, ratio: str) -> str:
    """Return measured of claimed: the session's own figure, or that of the numbers as shown."""
    own = results.figures.get((ratio, figure.entry))
    if own is not None:
        return own.shown
    if figure.value is None or claimed <= 0:
        return _MISSING
    return fixed(100 * float(figure.shown) / claimed, 0)
