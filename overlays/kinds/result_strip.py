"""Result strip: one figure of every entry, sorted, on one ruled scale."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import ClassVar

from overlays.draw.patch import Scene
from overlays.kinds._figures import shown_figure
from overlays.kinds._measured import (
    best_first,
    figures_of,
    headline,
    median_files,
    place_of,
    runs_caption,
    spread_of_repeats,
)
from overlays.kinds._strip_rows import ResultRow, ResultStripContent, result_strip_scene
from overlays.kinds.base import Overlay
from overlays.model.clip import Stage
from overlays.model.result import Figure, Results
from overlays.model.spec import Better
from overlays.style.house import Style
from overlays.units import symbol

__all__ = ["ResultStrip"]


@dataclass(frozen=True, kw_only=True)
class ResultStrip(Overlay[ResultStripContent]):
    """One figure, all entries, the best on top.

    Parameters
    ----------
    figure : str
        The figure.
    entries : tuple of str
        Which entries; all of the session where it is left out.
    title : str
        Instead of the figure's label.
    """

    kind: ClassVar[str] = "result_strip"

    figure: str
    entries: tuple[str, ...] = ()
    title: str = ""

    def names(self) -> Iterable[tuple[str, Sequence[str], str]]:
        """Return what the options name."""
        return (("figure", (self.figure,), "figures"), ("entries", self.entries, "entries"))

    def content(self, results: Results) -> ResultStripContent:
        """Take the figure of every entry. Raises `OutlineError` where none has it."""
        spec = results.session.spec.figures[self.figure]
        found = best_first(figures_of(results, self.figure, self.entries), spec.better)
        units = [symbol(one.unit) for one in found if one.value is not None]
        rows = tuple(_row(results, one) for one in found)
        return ResultStripContent(
            figures=tuple((self.figure, one.entry) for one in found),
            runs=median_files(results, found),
            title=self.title or headline(spec.label),
            caption=_caption(results, found, spec.better, spread=any(row.spread for row in rows)),
            unit=units[0],
            rows=rows,
        )

    @classmethod
    def lay_out(cls, content: ResultStripContent, stage: Stage, style: Style) -> Scene:
        """Draw the rows on their scale."""
        return result_strip_scene(content, stage, style)

    @classmethod
    def describe(cls, content: ResultStripContent) -> str:
        """Say every value, the best first."""
        unit = f" {content.unit}" if content.unit else ""
        told = []
        for row in content.rows:
            note = f" ({row.note})" if row.note else ""
            told.append(f"{row.name} {row.text}{unit if row.value is not None else ''}{note}")
        return f"{content.title}: {', '.join(told)}."

    @classmethod
    def natural_s(cls, content: ResultStripContent) -> float:
        """Return the time for each row to come and be read."""
        return 4.5 + 1.4 * len(content.rows)


def _row(results: Results, figure: Figure) -> ResultRow:
    entry = results.session.spec.entries[figure.entry]
    note = shown_figure(results, figure.figure, figure.entry).note
    return ResultRow(
        name=entry.label,
        colour=place_of(results, figure.entry),
        text=figure.shown,
        value=figure.value,
        spread=spread_of_repeats(figure) if figure.value is not None else None,
        note=figure.why_missing if figure.value is None else note,
    )


def _caption(
    results: Results, figures: Sequence[Figure], better: Better, *, spread: bool
) -> tuple[str, ...]:
    return (
        *runs_caption(results, figures),
        *(("lower is better",) if better == "lower" else ()),
        *(("bracket: lowest to highest repeat",) if spread else ()),
    )
