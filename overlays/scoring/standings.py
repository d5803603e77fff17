"""The standings after an episode, each row beside the same entry's row before it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from overlays.errors import LedgerError, Problems
from overlays.model.pointspec import SharePoints
from overlays.model.result import Figure, Results, ScoreRow, Standing
from overlays.model.session import Session
from overlays.scoring.doubted import listed
from overlays.scoring.ledger import LedgerRow
from overlays.scoring.season import Season, best_of, own_results, units_of
from overlays.units import symbol

__all__ = [
    "NewBest",
    "new_bests",
    "season_history",
    "season_standings",
    "standings_as_of",
]


def season_standings(
    session: Session,
    figures: Mapping[tuple[str, str], Figure],
    ledger: Sequence[LedgerRow],
    problems: Problems,
    *,
    ledger_file: str = "",
) -> tuple[Standing, ...]:
    """Return the standings after this episode, each with the same entry's row before it.

    Rows of this episode in the ledger give way to the session's own figures, and those of later
    episodes do not count, so that a session opened again shows what it showed then.

    Parameters
    ----------
    session : Session
        What is declared.
    figures : Mapping[tuple[str, str], Figure]
        By (figure, entry).
    ledger : sequence of LedgerRow
        The season's ledger, empty where there is none.
    problems : Problems
        Receives what a rule cannot do, and ledger rows whose unit does not fit.
    ledger_file : str
        The ledger as the user knows it.

    Returns
    -------
    tuple of Standing
        In order of rank, ties and unranked entries in the order they came.
    """
    own = own_results(session, figures)
    season = Season(session, ledger, problems, units=units_of(own), ledger_file=ledger_file)
    before = {row.entry: row for row in season.before()}
    return _side_by_side(season.after(own), before, session)


def _side_by_side(
    after: Sequence[ScoreRow], before: Mapping[str, ScoreRow], session: Session
) -> tuple[Standing, ...]:
    lines = {entry: line for line, entry in enumerate(before)}
    entries = session.spec.entries
    return tuple(
        Standing(row, before.get(row.entry), row.entry in entries, lines.get(row.entry))
        for row in after
    )


def standings_as_of(
    session: Session,
    ledger: Sequence[LedgerRow],
    episode: int,
    problems: Problems,
    *,
    ledger_file: str = "",
) -> tuple[Standing, ...]:
    """Return the standings as they were after an earlier episode, from the ledger alone.

    What was superseded or withdrawn later still stands there, for that is what was shown. Columns
    and rules are those this session declares.

    Raises
    ------
    LedgerError
        If the ledger has no row up to that episode.
    """
    season = Season(session, ledger, problems, ledger_file=ledger_file)
    if not any(row.episode <= episode for row in ledger):
        known = sorted({row.episode for row in ledger})
        raise LedgerError(
            f"the ledger has nothing up to episode {episode}.",
            code="unknown-episode",
            file=ledger_file or None,
            remedy=f"It begins with episode {known[0]}." if known else "It is empty.",
        )
    last = max(row.episode for row in ledger)
    if episode > last:
        raise LedgerError(
            f"the ledger ends with episode {last}; there is nothing as of episode {episode}.",
            code="unknown-episode",
            file=ledger_file or None,
            remedy="Leave the episode out to see tonight's standings, or record them first.",
        )
    before = season.rows(season.results(episode - 1), season.names(episode - 1), up_to=episode - 1)
    after = season.rows(season.results(episode), season.names(episode), up_to=episode)
    return _side_by_side(after, {row.entry: row for row in before}, session)


def season_history(
    session: Session,
    ledger: Sequence[LedgerRow],
    problems: Problems,
    *,
    ledger_file: str = "",
) -> dict[int, tuple[Standing, ...]]:
    """Return the standings after every episode in the ledger, by its number."""
    return {
        episode: standings_as_of(session, ledger, episode, problems, ledger_file=ledger_file)
        for episode in sorted({row.episode for row in ledger})
    }


@dataclass(frozen=True, slots=True)
class NewBest:
    """A new best of the season, which lowers what the others' figures are worth.

    Parameters
    ----------
    column : str
        Key of the points column.
    entries : tuple of str
        Names of those who hold the new best.
    before, after : str
        The best as shown, without unit.
    unit : str
        Of both.
    lowered : tuple of (str, Decimal, Decimal)
        Name, points before and points now, of everybody who lost points by it alone.
    """

    column: str
    entries: tuple[str, ...]
    before: str
    after: str
    unit: str
    lowered: tuple[tuple[str, Decimal, Decimal], ...]

    def sentence(self) -> str:
        """Say it: who set the new best, and whom it cost what."""
        unit = f" {symbol(self.unit)}".rstrip()
        losers = ", ".join(f"{name} {old:f} → {new:f}" for name, old, new in self.lowered)
        cost = f" It lowers: {losers}." if losers else ""
        return (
            f"{listed(self.entries)} set{'s' if len(self.entries) == 1 else ''} a new best "
            f"of {self.after}{unit} in {self.column} (before: {self.before}{unit}).{cost}"
        )


def new_bests(results: Results) -> tuple[NewBest, ...]:
    """Return the columns in which this episode set a new best, and whose points that lowered."""
    session = results.session
    if session.spec.standings.references == "frozen":
        return ()
    found = []
    for key, column in session.spec.points.items():
        if not isinstance(column, SharePoints) or column.best is not None:
            continue
        now = _values(key, [standing.row for standing in results.standings])
        earlier = _values(key, [one.previous for one in results.standings if one.previous])
        old = best_of(session, column.figure, earlier.values())
        new = best_of(session, column.figure, now.values())
        if old is None or new is None or best_of(session, column.figure, (old, new)) == old:
            continue
        figure = next(
            one.row.figures[key] for one in results.standings if now.get(one.row.entry) == new
        )
        lowered = [_lowered(one, key) for one in results.standings]
        found.append(
            NewBest(
                column=column.label or session.spec.figures[column.figure].label,
                entries=tuple(
                    one.row.name for one in results.standings if now.get(one.row.entry) == new
                ),
                before=f"{old:f}",
                after=f"{new:f}",
                unit=figure.unit if figure else "",
                lowered=tuple(one for one in lowered if one is not None),
            )
        )
    return tuple(found)


def _values(key: str, rows: Sequence[ScoreRow]) -> dict[str, Decimal]:
    figures = {row.entry: row.figures[key] for row in rows}
    return {entry: Decimal(one.shown) for entry, one in figures.items() if one is not None}


def _lowered(standing: Standing, key: str) -> tuple[str, Decimal, Decimal] | None:
    previous = standing.previous
    if previous is None:
        return None
    old_figure, figure = previous.figures[key], standing.row.figures[key]
    if old_figure is None or figure is None or old_figure.shown != figure.shown:
        return None  # measured anew: its points changed for more than the best
    before, after = previous.points[key], standing.row.points[key]
    if before is None or after is None or after >= before:
        return None
    return standing.row.name, before, after
