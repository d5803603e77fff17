"""Head to head: two entries, figure by figure, who leads by how much, and whether that is real."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Annotated, ClassVar

from pydantic import Field

from overlays.draw.patch import Scene
from overlays.errors import OutlineError
from overlays.kinds._measured import median_files, place_of, runs_caption, verdict_words
from overlays.kinds._pictured import entry_picture
from overlays.kinds._versus_content import HeadToHeadContent, Side, VersusRow
from overlays.kinds._versus_scene import versus_scene
from overlays.kinds.base import Overlay
from overlays.model.clip import Stage
from overlays.model.result import Figure, Results
from overlays.scoring.gap import Gap, gap_between
from overlays.style.house import Style
from overlays.units import symbol

__all__ = ["HeadToHead"]

_MOST_ROWS = 5
# Three runs against three leave a doubt however far apart they lie: their exact chance is no less
# than one in ten. `Gap.sentence` says so in the same cases.
_CERTAIN, _DOUBT = 0.05, "few runs: likely, not certain"


@dataclass(frozen=True, kw_only=True)
class HeadToHead(Overlay[HeadToHeadContent]):
    """Two entries against each other, with what they look like where they have pictures.

    Parameters
    ----------
    entries : (str, str)
        Who is on the left, and who on the right.
    figures : tuple of str
        Up to five figures; those of the first points columns where it is left out.
    title : str
        Set between the two names.
    """

    kind: ClassVar[str] = "head_to_head"

    entries: Annotated[tuple[str, ...], Field(min_length=2, max_length=2)]
    figures: Annotated[tuple[str, ...], Field(max_length=_MOST_ROWS)] = ()
    title: str = ""

    def names(self) -> Iterable[tuple[str, Sequence[str], str]]:
        """Return what the options name."""
        return (("entries", self.entries, "entries"), ("figures", self.figures, "figures"))

    def content(self, results: Results) -> HeadToHeadContent:
        """Compare the two. Raises `OutlineError` where they are one, or have nothing to compare."""
        spec = results.session.spec
        first, second = self.entries
        if first == second:
            raise OutlineError(
                f"both entries are {first!r}.",
                code="same-entry",
                field="entries",
                remedy="Name two different entries.",
            )
        keys = (
            self.figures
            or tuple(dict.fromkeys(points.figure for points in spec.points.values()))[:_MOST_ROWS]
        )
        pairs = [tuple(results.figures.get((key, entry)) for entry in self.entries) for key in keys]
        known = [one for pair in pairs for one in pair if one is not None]
        if not keys or all(one.value is None for one in known):
            raise OutlineError(
                f"there is no figure of {first!r} and {second!r} to compare.",
                code="no-figure",
                field="figures",
                remedy="Name figures whose tests both have run.",
            )
        sides = [
            Side(
                spec.entries[entry].label,
                spec.entries[entry].note,
                place_of(results, entry),
                entry_picture(results, entry),
            )
            for entry in self.entries
        ]
        gaps = {
            key: gap_between(results, key, first, second)
            for key, pair in zip(keys, pairs, strict=True)
            if all(one is not None and one.value is not None for one in pair)
        }
        few = any(gap.real and gap.p is not None and gap.p > _CERTAIN for gap in gaps.values())
        return HeadToHeadContent(
            figures=tuple((key, entry) for key in keys for entry in self.entries),
            runs=median_files(results, known),
            title=self.title,
            caption=(*runs_caption(results, known), *((_DOUBT,) if few else ())),
            sides=(sides[0], sides[1]),
            rows=tuple(
                self._row(results, key, (pair[0], pair[1]), gaps.get(key))
                for key, pair in zip(keys, pairs, strict=True)
            ),
        )

    def _row(
        self,
        results: Results,
        key: str,
        pair: tuple[Figure | None, Figure | None],
        gap: Gap | None,
    ) -> VersusRow:
        spec = results.session.spec
        figure = spec.figures[key]
        label = figure.label + (", lower is better" if figure.better == "lower" else "")
        values = [one.value if one is not None else None for one in pair]
        texts = [one.shown if one is not None and one.value is not None else "–" for one in pair]
        units = [symbol(one.unit) for one in pair if one is not None and one.value is not None]
        missing = [
            (spec.entries[entry].label, one.why_missing if one is not None else "never measured")
            for entry, one in zip(self.entries, pair, strict=True)
            if one is None or one.value is None
        ]
        lead = "" if gap is None or gap.ahead is None else spec.entries[gap.ahead].label
        return VersusRow(
            label=label,
            unit=units[0] if units else "",
            texts=(texts[0], texts[1]),
            values=(values[0], values[1]),
            lead=lead,
            by=gap.shown.lstrip("-") if gap is not None and lead else "",
            by_unit=_difference_words(gap) if gap is not None and lead else "",
            verdict=verdict_words(results, gap) if gap is not None else _reasons(missing),
            real=gap.real if gap is not None else None,
            ahead=None if gap is None or gap.ahead is None else self.entries.index(gap.ahead),
        )

    @classmethod
    def lay_out(cls, content: HeadToHeadContent, stage: Stage, style: Style) -> Scene:
        """Draw the two against each other."""
        return versus_scene(content, stage, style)

    @classmethod
    def describe(cls, content: HeadToHeadContent) -> str:
        """Say both values of every figure, who is ahead by how much, and whether that is real."""
        names = [side.name for side in content.sides]
        told = []
        for row in content.rows:
            unit = f" {row.unit}" if row.unit else ""
            values = " against ".join(
                f"{text}{unit if value is not None else ''}"
                for text, value in zip(row.texts, row.values, strict=True)
            )
            by = f"{row.lead} ahead by {row.by} {row.by_unit}".rstrip() if row.lead else ""
            told.append(f"{row.label}: {', '.join(x for x in (values, by, row.verdict) if x)}")
        how = f" ({'; '.join(content.caption)})" if content.caption else ""
        return f"{names[0]} against {names[1]}{how}. {'; '.join(told)}."

    @classmethod
    def natural_s(cls, content: HeadToHeadContent) -> float:
        """Return the time for each row to come and its verdict to be read."""
        return 4.0 + 3.8 * len(content.rows)


def _difference_words(gap: Gap) -> str:
    """Return the unit of a difference; that of two percentages is not a percentage."""
    unit = symbol(gap.unit)
    if unit != "%":
        return unit
    return "percentage point" if gap.shown.lstrip("-") == "1" else "percentage points"


def _reasons(missing: Sequence[tuple[str, str]]) -> str:
    """Say who lacks a figure and why, once where it is the same for both."""
    reasons = dict.fromkeys(why for _, why in missing)
    if len(missing) > 1 and len(reasons) == 1:
        return next(iter(reasons))
    return "; ".join(f"{name}: {why}" for name, why in missing)
