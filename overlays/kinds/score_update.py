"""Score update: rows of the standings, their old values giving way to the new ones."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import ClassVar

from overlays.draw.patch import Scene
from overlays.errors import OutlineError
from overlays.kinds._measured import most_points, score_text
from overlays.kinds._score_content import NOTHING, Column, ScoreUpdateContent, Update
from overlays.kinds._score_scene import ScoreUpdateScene
from overlays.kinds._score_timing import least_s, natural_s
from overlays.kinds.base import Overlay
from overlays.model.clip import Place, Stage
from overlays.model.result import Results, Standing
from overlays.style.house import Style
from overlays.units import symbol

__all__ = ["ScoreUpdate"]


@dataclass(frozen=True, kw_only=True)
class ScoreUpdate(Overlay[ScoreUpdateContent]):
    """Rows of the standings as they change, one after another.

    Parameters
    ----------
    entry : str
        Whose row. This, or `entries`, is needed.
    entries : tuple of str
        Whose rows, in this order. Each stands open while it changes; those before it and those
        to come are closed to a line each, as many as there is room for.
    columns : tuple of str
        Points columns; all of the session where it is left out.
    title : str
        Instead of the season's name.
    """

    kind: ClassVar[str] = "score_update"
    places: ClassVar[tuple[Place, ...]] = ("head", "middle", "foot")

    entry: str = ""
    entries: tuple[str, ...] = ()
    columns: tuple[str, ...] = ()
    title: str = ""

    def names(self) -> Iterable[tuple[str, Sequence[str], str]]:
        """Return what the options name."""
        return (
            ("entry", (self.entry,) if self.entry else (), "entries"),
            ("entries", self.entries, "entries"),
            ("columns", self.columns, "points"),
        )

    def content(self, results: Results) -> ScoreUpdateContent:
        """Take the entries' rows, and those before.

        Raises
        ------
        OutlineError
            If no entry is named, or in both ways, or one has no row in the standings.
        """
        spec = results.session.spec
        field = "entries" if self.entries else "entry"
        if bool(self.entry) == bool(self.entries):
            raise OutlineError(
                "entry and entries are both given." if self.entry else "no entry is named.",
                code="bad-entries",
                field=field,
                remedy='Write entry = "…" for one row, or entries = ["…", "…"] for several.',
            )
        named = tuple(dict.fromkeys(self.entries or (self.entry,)))
        found = {one.row.entry: one for one in results.standings}
        missing = [entry for entry in named if entry not in found]
        if missing or not spec.points:
            raise OutlineError(
                f"{', '.join(map(repr, missing or named))} has no row in the standings.",
                code="no-standing",
                field=field,
                remedy="Declare [points] in session.toml, and runs or ledger rows of this entry.",
            )
        keys = self.columns or tuple(spec.points)
        one_and_new = len(named) == 1 and found[named[0]].previous is None
        return ScoreUpdateContent(
            figures=tuple((spec.points[key].figure, entry) for entry in named for key in keys),
            runs=(),
            title=self.title or spec.episode.season or spec.episode.title,
            caption=(
                f"standings after episode {spec.episode.number}",
                *(("new in the standings",) if one_and_new else ()),
            ),
            updates=tuple(_update(results, found[entry], keys) for entry in named),
            of=sum(1 for other in results.standings if other.row.rank is not None),
        )

    @classmethod
    def lay_out(cls, content: ScoreUpdateContent, stage: Stage, style: Style) -> Scene:
        """Draw the rows."""
        return ScoreUpdateScene(content, stage, style)

    @classmethod
    def check_length(cls, content: ScoreUpdateContent, stage: Stage) -> None:
        """Raise `OutlineError` if so many entries cannot be followed in the cue's length."""
        count, least = len(content.updates), least_s(content)
        lasts = float(stage.frames / stage.rate)
        if lasts < least:
            raise OutlineError(
                f"the cue lasts {lasts:.2f} s; {count} entries with "
                f"{len(content.last.columns)} columns each need at least {least:.1f} s.",
                code="cue-too-short",
                field="entries",
                remedy="Make the cue longer, or name fewer entries or columns.",
            )

    @classmethod
    def describe(cls, content: ScoreUpdateContent) -> str:
        """Say every value, before and after, the score and the rank, of one entry after another."""
        return " ".join(_told(update, content.of) for update in content.updates)

    @classmethod
    def natural_s(cls, content: ScoreUpdateContent) -> float:
        """Return the time for each column to arrive, and for each total to be read."""
        return natural_s(content)


def _told(update: Update, of: int) -> str:
    parts = []
    for column in update.columns:
        unit = f" {column.unit}" if column.unit else ""
        was = f", was {column.old}" if column.old not in (None, column.new) else ""
        most = f"{column.most.normalize():f}"
        points = "no" if column.points is None else f"{column.points} of {most}"
        now = "missing" if column.new is None else f"{column.new}{unit}"
        parts.append(f"{column.label} {now}{was}, {points} points")
    score = "none" if update.score == NOTHING else update.score
    text = f"{update.name}: {'; '.join(parts)}. Score {score}"
    text += f", was {update.old_score}" if update.old_score else ""
    if update.rank is not None:
        text += f"; place {update.rank} of {of}"
        text += f", was {update.old_rank}" if update.old_rank else ""
    return f"{text}."


def _update(results: Results, standing: Standing, keys: Sequence[str]) -> Update:
    spec = results.session.spec
    row, previous = standing.row, standing.previous
    rest = [key for key in spec.points if key not in keys]
    columns = [_column(results, standing, key) for key in keys]
    entry = spec.entries[row.entry]
    return Update(
        name=entry.label,
        note=entry.note,
        colour=list(spec.entries).index(row.entry),
        columns=(*columns, *_others(results, standing, rest)),
        old_score=score_text(previous),
        old_rank=standing.previous_rank,
        rank=row.rank,
    )


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
        most_points(points),
        points.places,
    )


def _others(results: Results, standing: Standing, keys: Sequence[str]) -> tuple[Column, ...]:
    """Return the columns that are not shown as one, so that the points still add up."""
    spec = results.session.spec
    if not keys:
        return ()
    points = [standing.row.points.get(key) for key in keys]
    found = [part for part in points if part is not None]
    most = sum((most_points(spec.points[key]) for key in keys), Decimal(0))
    places = max(spec.points[key].places for key in keys)
    total = sum(found, Decimal(0)) if found else None
    return (Column("", "other columns", "", None, None, total, most, places),)
