"""Standings: the season's table, its rows going from their places before to those they have now."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated, ClassVar

from pydantic import Field

from overlays.draw.patch import Scene
from overlays.errors import OutlineError
from overlays.kinds._measured import score_text
from overlays.kinds._standings_scene import StandingsScene
from overlays.kinds._table import StandingsContent, TableRow, acts
from overlays.kinds.base import Overlay
from overlays.model.clip import Stage
from overlays.model.pointspec import PenaltyPoints
from overlays.model.result import Results, ScoreRow, Standing
from overlays.style.house import Motion, Style

__all__ = ["Standings"]

# Without a style and a page, as when a length is only proposed or checked.
_PACE, _ROWS = Motion(panel=0.4, axes=0.5, step=0.4, swap=0.3), 12


@dataclass(frozen=True, kw_only=True)
class Standings(Overlay[StandingsContent]):
    """The season's table, before this episode and after it.

    Parameters
    ----------
    entries : tuple of str
        Whose rows are marked; they travel one after another, in this order. All of the session
        where it is left out, the lowest first.
    rows : int
        How many rows are shown at once; the view follows the marked ones. As many as there is
        room for where it is left out.
    title : str
        Instead of the season's name.
    """

    kind: ClassVar[str] = "standings"

    entries: tuple[str, ...] = ()
    rows: Annotated[int | None, Field(ge=3, le=40)] = None
    title: str = ""

    def names(self) -> Iterable[tuple[str, Sequence[str], str]]:
        """Return what the options name."""
        return (("entries", self.entries, "entries"),)

    def content(self, results: Results) -> StandingsContent:
        """Take the table. Raises `OutlineError` if there is none, or an entry is not in it."""
        spec = results.session.spec
        places = {one.row.entry: index for index, one in enumerate(results.standings)}
        missing = [entry for entry in self.entries if entry not in places]
        if missing or not places or not spec.points:
            raise OutlineError(
                f"{', '.join(map(repr, missing))} has no row in the standings."
                if missing
                else "there are no standings.",
                code="no-standing",
                field="entries",
                remedy="Declare [points] in session.toml, and runs or ledger rows of the entries.",
            )
        marked = dict.fromkeys(self.entries) or [
            one.row.entry for one in reversed(results.standings) if one.row.entry in spec.entries
        ]
        episode = spec.episode
        return StandingsContent(
            figures=tuple(
                (column.figure, entry)
                for entry in places
                if entry in spec.entries
                for column in spec.points.values()
            ),
            runs=(),
            title=self.title or episode.season or episode.title,
            caption=(f"standings after episode {episode.number}",),
            rows=tuple(_row(results, one, marked=one.row.entry in marked)
                       for one in results.standings),
            before=_before(results.standings),
            travellers=tuple(places[entry] for entry in marked),
            most=sum((_most(results, key) for key in spec.points), Decimal(0)),
            shown=self.rows,
            dense=spec.standings.ranks == "1, 1, 2",
        )  # fmt: skip

    @classmethod
    def lay_out(cls, content: StandingsContent, stage: Stage, style: Style) -> Scene:
        """Draw the table."""
        return StandingsScene(content, stage, style)

    @classmethod
    def check_length(cls, content: StandingsContent, stage: Stage) -> None:
        """Raise `OutlineError` if the cue has fewer frames than there are things to happen."""
        happen = sum(1 for _ in acts(content, _page(content), _PACE))
        needed = 2 * happen
        if stage.frames < needed:
            raise OutlineError(
                f"the cue lasts {float(stage.frames / stage.rate):.2f} s; for "
                f"{len(content.travellers)} rows to travel it needs at least "
                f"{float(needed / stage.rate):.2f} s.",
                code="cue-too-short",
                field="entries",
                remedy="Make the cue longer, or name fewer entries.",
            )

    @classmethod
    def describe(cls, content: StandingsContent) -> str:
        """Say every row: place, name and score, and for a marked row what they were."""
        there = set(content.before)
        told = [_told(row, is_new=i not in there) for i, row in enumerate(content.rows)]
        return f"{content.title}, {content.caption[0]}: {'; '.join(told)}."

    @classmethod
    def natural_s(cls, content: StandingsContent) -> float:
        """Return the time for every row to travel, and for the table to be read."""
        shown = _page(content)
        happen = sum(act.seconds for act in acts(content, shown, _PACE))
        return min(60.0, happen + 2.5 + 0.2 * shown)


def _page(content: StandingsContent) -> int:
    """Return how many rows a page shows, as far as that is known without one."""
    return min(content.shown or _ROWS, len(content.rows))


def _row(results: Results, standing: Standing, *, marked: bool) -> TableRow:
    row, previous = standing.row, standing.previous
    entries = results.session.spec.entries
    name = entries[row.entry].label if row.entry in entries else row.name
    return TableRow(
        name=name,
        colour=list(entries).index(row.entry) if row.entry in entries else None,
        marked=marked,
        old_rank=standing.previous_rank,
        rank=row.rank,
        old_score=score_text(previous),
        score=score_text(row),
        old_points=_points(previous),
        points=_points(row),
    )


def _points(row: ScoreRow | None) -> tuple[Decimal, ...]:
    return tuple(part for part in row.points.values() if part is not None) if row else ()


def _before(standings: Sequence[Standing]) -> tuple[int, ...]:
    """Return the rows there were, in the order the table had then."""
    there = [index for index, one in enumerate(standings) if one.previous is not None]

    def then(index: int) -> tuple[bool, int, int]:
        rank, line = standings[index].previous_rank, standings[index].previous_line
        return rank is None, rank or 0, line or 0

    return tuple(sorted(there, key=then))


def _most(results: Results, key: str) -> Decimal:
    """Return what a column can give: nothing where it only takes points away."""
    column = results.session.spec.points[key]
    if isinstance(column, PenaltyPoints):
        return Decimal(0)
    return Decimal(str(column.most)) * Decimal(str(column.weight))


def _told(row: TableRow, *, is_new: bool) -> str:
    text = f"{row.rank or 'no place'} {row.name} {row.score or 'without points'}"
    if not row.marked:
        return text
    if is_new:
        return f"{text} (new)"
    was = [] if row.old_rank in (None, row.rank) else [f"place {row.old_rank}"]
    was += [] if row.old_score in (None, row.score) else [f"{row.old_score}"]
    return f"{text} (was {', '.join(was)})" if was else text
