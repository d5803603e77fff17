"""What a re-test or an erratum touches: every place that showed the old value."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from overlays.model.outline import Outline
from overlays.model.result import Figure, Results
from overlays.scoring.figures import MISSING
from overlays.scoring.layout import Table, TextFormat, render
from overlays.scoring.ledger import LedgerRow
from overlays.units import symbol

__all__ = [
    "Change",
    "Touched",
    "changes_between",
    "changes_in_ledger",
    "touched_by",
    "touched_text",
]

# (figure, entry), as in outlines and clips.
_Where = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Change:
    """One figure that is no longer what it was.

    Parameters
    ----------
    figure, entry : str
        Keys.
    before, after : str or None
        As shown, with unit; None where there was, or is, none.
    """

    figure: str
    entry: str
    before: str | None
    after: str | None

    @property
    def where(self) -> _Where:
        """(figure, entry)."""
        return self.figure, self.entry


@dataclass(frozen=True, slots=True)
class Touched:
    """Everything that showed an old value.

    Parameters
    ----------
    changes : tuple of Change
        The figures themselves.
    spoken : tuple of (str, int, Change)
        Beat, line of the outline, and what is said there.
    cues : tuple of (str, Change)
        Cue, and what it shows.
    episodes : tuple of (int, Change)
        Earlier episodes that showed the old value, by their numbers.
    """

    changes: tuple[Change, ...]
    spoken: tuple[tuple[str, int, Change], ...]
    cues: tuple[tuple[str, Change], ...]
    episodes: tuple[tuple[int, Change], ...]


def _shown(figure: Figure | None) -> str | None:
    if figure is None or figure.value is None:
        return None
    return f"{figure.shown} {symbol(figure.unit)}".rstrip()


def changes_between(before: Results, after: Results) -> tuple[Change, ...]:
    """Return the figures that show something else after than before."""
    places = dict.fromkeys([*before.figures, *after.figures])
    pairs = [
        Change(*place, _shown(before.figures.get(place)), _shown(after.figures.get(place)))
        for place in places
    ]
    return tuple(change for change in pairs if change.before != change.after)


def changes_in_ledger(results: Results, ledger: Sequence[LedgerRow]) -> tuple[Change, ...]:
    """Return the figures that this session shows otherwise than the ledger had them.

    That is what a re-test changes against earlier episodes, and against this episode as it was
    recorded; and what an erratum of this episode took back.
    """
    standing: dict[_Where, LedgerRow] = {}
    withdrawn: dict[_Where, LedgerRow] = {}
    number = results.session.spec.episode.number
    for row in ledger:
        where = (row.figure, row.entry)
        if row.action == "result":
            standing[where] = row
            withdrawn.pop(where, None)
        elif where in standing and row.episode == number:
            withdrawn[where] = standing.pop(where)
    found = []
    for where, row in standing.items():
        now = results.figures.get(where)
        if now is None or now.value is None:
            continue
        if Decimal(now.shown) != row.value or now.unit != row.unit:
            found.append(Change(*where, _written(row), _shown(now)))
    found += [
        Change(*where, _written(row), _instead(row, results.figures.get(where)))
        for where, row in withdrawn.items()
    ]
    return tuple(found)


def _instead(row: LedgerRow, figure: Figure | None) -> str | None:
    """Return what stands instead of a withdrawn row, and say so where it is the same."""
    now = _shown(figure)
    return f"{now} (withdrawn, yet its run is still used)" if now == _written(row) else now


def _written(row: LedgerRow) -> str:
    return f"{row.value if row.value is not None else MISSING} {symbol(row.unit)}".rstrip()


def touched_by(
    changes: Sequence[Change],
    *,
    outline: Outline | None = None,
    shown_by: Mapping[str, Sequence[_Where]] | None = None,
    ledger: Sequence[LedgerRow] = (),
    episode: int,
) -> Touched:
    """List every place that showed the old value of a figure.

    Parameters
    ----------
    changes : sequence of Change
        From `changes_between` or `changes_in_ledger`.
    outline : Outline, optional
        The script; its beats know which figures they say.
    shown_by : Mapping[str, sequence of (str, str)], optional
        By cue, the (figure, entry) pairs it shows, as a planned clip has them.
    ledger : sequence of LedgerRow
        The season's ledger.
    episode : int
        Number of the episode at hand: earlier ones cannot be re-recorded, only corrected.
    """
    spoken = [
        (beat.beat, beat.line, change)
        for beat in (outline.beats if outline else ())
        for change in changes
        if change.where in beat.figures
    ]
    cues = [
        (cue, change)
        for cue, shown in (shown_by or {}).items()
        for change in changes
        if change.where in shown
    ]
    episodes = [
        (number, change)
        for change in changes
        for number in _episodes_showing(change, ledger, episode)
    ]
    return Touched(tuple(changes), tuple(spoken), tuple(cues), tuple(sorted(episodes, key=_number)))


def _number(one: tuple[int, Change]) -> int:
    return one[0]


def _episodes_showing(change: Change, ledger: Sequence[LedgerRow], before: int) -> list[int]:
    """Return the episodes, before the one at hand, after which the old value stood."""
    numbers = sorted({row.episode for row in ledger if row.episode < before})
    showing = []
    for number in numbers:
        standing = None
        for row in ledger:
            if (row.figure, row.entry) == change.where and row.episode <= number:
                standing = row if row.action == "result" else None
        if standing is not None and _written(standing) == change.before:
            showing.append(number)
    return showing


def touched_text(touched: Touched, how: TextFormat = "table") -> str:
    """Tell what is touched, one line a place."""
    rows = [("figure", "", *_cells(change)) for change in touched.changes]
    rows += [("spoken", f"{beat}, line {line}", *_cells(c)) for beat, line, c in touched.spoken]
    rows += [("cue", cue, *_cells(change)) for cue, change in touched.cues]
    rows += [("episode", str(number), *_cells(change)) for number, change in touched.episodes]
    columns = ("place", "where", "figure", "entry", "before", "after")
    return render(Table(columns, (False,) * len(columns), tuple(rows)), how)


def _cells(change: Change) -> tuple[str, str, str, str]:
    return change.figure, change.entry, change.before or MISSING, change.after or MISSING
