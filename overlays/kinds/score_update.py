"""Score update: one row of the standings, its old values giving way to the new ones."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import ClassVar

from overlays.draw.patch import Scene
from overlays.errors import OutlineError
from overlays.kinds._score_content import Column, ScoreUpdateContent, total_text
from overlays.kinds._score_row import ScoreUpdateScene
from overlays.kinds.base import Overlay
from overlays.model.clip import Stage
from overlays.model.pointspec import PenaltyPoints, PointsSpec
from overlays.model.result import Results, ScoreRow, Standing
from overlays.style.house import Style
from overlays.units import symbol

__all__ = ["ScoreUpdate"]


@dataclass(frozen=True, kw_only=True)
class ScoreUpdate(Overlay[ScoreUpdateContent]):
    """A row of the standings as it changes.

    Parameters
    ----------
    entry : str
        Whose row.
    columns : tuple of str
        Points columns; all of the session where it is left out.
    title : str
        Instead of the season's name.
    """

    kind: ClassVar[str] = "score_update"

    entry: str
    columns: tuple[str, ...] = ()
    title: str = ""

    def names(self) -> Iterable[tuple[str, Sequence[str], str]]:
        """Return what the options name."""
        return (("entry", (self.entry,), "entries"), ("columns", self.columns, "points"))

    def content(self, results: Results) -> ScoreUpdateContent:
        """Take the entry's row, and the one before. Raises `OutlineError` if it has none."""
        spec = results.session.spec
        standing = next((s for s in results.standings if s.row.entry == self.entry), None)
        if standing is None or not spec.points:
            raise OutlineError(
                f"{self.entry!r} has no row in the standings.",
                code="no-standing",
                field="entry",
                remedy="Declare [points] in session.toml, and runs or ledger rows of this entry.",
            )
        keys = self.columns or tuple(spec.points)
        entry, episode = spec.entries[self.entry], spec.episode
        row, previous = standing.row, standing.previous
        rest = [key for key in spec.points if key not in keys]
        columns = [_column(results, standing, key) for key in keys]
        return ScoreUpdateContent(
            figures=tuple((spec.points[key].figure, self.entry) for key in keys),
            runs=(),
            title=self.title or episode.season or episode.title,
            caption=(
                f"standings after episode {episode.number}",
                *(() if previous is not None else ("new in the standings",)),
            ),
            name=entry.label,
            note=entry.note,
            colour=list(spec.entries).index(self.entry),
            columns=(*columns, *_others(results, standing, rest)),
            old_score=_score_text(previous),
            old_rank=standing.previous_rank,
            rank=row.rank,
            of=sum(1 for other in results.standings if other.row.rank is not None),
        )

    @classmethod
    def lay_out(cls, content: ScoreUpdateContent, stage: Stage, style: Style) -> Scene:
        """Draw the row."""
        return ScoreUpdateScene(content, stage, style)

    @classmethod
    def describe(cls, content: ScoreUpdateContent) -> str:
        """Say every value, before and after, the score and the rank."""
        parts = []
        for column in content.columns:
            unit = f" {column.unit}" if column.unit else ""
            was = f", was {column.old}" if column.old not in (None, column.new) else ""
            most = f"{column.most.normalize():f}"
            points = "no" if column.points is None else f"{column.points} of {most}"
            now = "missing" if column.new is None else f"{column.new}{unit}"
            parts.append(f"{column.label} {now}{was}, {points} points")
        total = total_text(content, [column.points for column in content.columns])
        text = f"{content.name}: {'; '.join(parts)}. Score {total}"
        text += f", was {content.old_score}" if content.old_score else ""
        if content.rank is not None:
            text += f"; place {content.rank} of {content.of}"
            text += f", was {content.old_rank}" if content.old_rank else ""
        return f"{text}."

    @classmethod
    def natural_s(cls, content: ScoreUpdateContent) -> float:
        """Return the time for each column to arrive, and for the total to be read."""
        return 3.5 + 1.1 * len(content.columns)


def _column(results: Results, standing: Standing, key: str) -> Column:
    spec = results.session.spec
    points = spec.points[key]
    now = standing.row.figures.get(key)
    before = standing.previous.figures.get(key) if standing.previous else None
    return Column(
        key,
        points.label or spec.figures[points.figure].label,
        symbol(now.unit) if now is not None and now.value is not None else "",
        before.shown if before is not None and before.value is not None else None,
        now.shown if now is not None and now.value is not None else None,
        standing.row.points.get(key),
        _most(points),
        points.places,
    )


def _others(results: Results, standing: Standing, keys: Sequence[str]) -> tuple[Column, ...]:
    """Return the columns that are not shown as one, so that the points still add up."""
    spec = results.session.spec
    if not keys:
        return ()
    points = [standing.row.points.get(key) for key in keys]
    found = [part for part in points if part is not None]
    most = sum((_most(spec.points[key]) for key in keys), Decimal(0))
    places = max(spec.points[key].places for key in keys)
    return (Column("", "other columns", "", None, None, sum(found, Decimal(0)), most, places),)


def _most(points: PointsSpec) -> Decimal:
    """Return the most a column gives, or, negative, takes away."""
    most = Decimal(str(points.most)) * Decimal(str(points.weight))
    return -most if isinstance(points, PenaltyPoints) else most


def _score_text(row: ScoreRow | None) -> str | None:
    return None if row is None or row.score is None else f"{row.score:f}"
