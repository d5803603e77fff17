"""Figures and the season's ledger → points, scores, ranks: before this episode and after it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from decimal import Decimal

from overlays.errors import Problems
from overlays.model.pointspec import ClaimPoints, PointsSpec
from overlays.model.result import Figure, ScoreRow, Standing
from overlays.model.session import Session
from overlays.numbers import fixed
from overlays.scoring.ledger import LedgerRow, standing_rows
from overlays.scoring.points import Judged, points_of
from overlays.units import Quantity, convert

__all__ = ["ranks", "season_standings"]


def ranks(scores: Sequence[Decimal | None], *, dense: bool = False) -> list[int | None]:
    """Rank scores, the highest first; ties share the lower number.

    Parameters
    ----------
    scores : sequence of (Decimal or None)
        None is unranked, not last.
    dense : bool
        Count 1, 1, 2 after a tie instead of 1, 1, 3.

    Returns
    -------
    list of (int or None)
        In the order of `scores`.

    Examples
    --------
    >>> ranks([Decimal(42), Decimal(40), Decimal(42), None, Decimal(39)])
    [1, 3, 1, None, 4]
    """
    known = [score for score in scores if score is not None]
    if dense:
        places = {score: place for place, score in enumerate(sorted(set(known), reverse=True), 1)}
    else:
        places = {score: 1 + sum(other > score for other in known) for score in known}
    return [None if score is None else places[score] for score in scores]


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
        In order of score, ties and unranked entries in the order they came.
    """
    scored = {points.figure for points in session.spec.points.values()}
    own = {
        (entry, key): figure
        for (key, entry), figure in figures.items()
        if figure.value is not None and key in scored
    }
    units = {key: figure.unit for (_, key), figure in own.items()}
    season = _Season(session, ledger, units, problems, ledger_file)
    known = season.results()
    before = {row.entry: row for row in season.rows(known, season.names)}
    names = season.names | {key: entry.name for key, entry in session.spec.entries.items()}
    after = season.rows({**known, **own}, names, own_entries=session.spec.entries)
    ordered = sorted(after, key=lambda row: (row.score is None, -(row.score or Decimal(0))))
    return tuple(
        Standing(row, before.get(row.entry), row.entry in session.spec.entries) for row in ordered
    )


class _Season:
    """One season's columns and ledger."""

    def __init__(
        self,
        session: Session,
        ledger: Sequence[LedgerRow],
        units: Mapping[str, str],
        problems: Problems,
        ledger_file: str,
    ) -> None:
        self.session = session
        self.columns = session.spec.points
        self.scored = {points.figure for points in self.columns.values()}
        self.units = dict(units)
        self.problems = problems
        self.ledger_file = ledger_file
        number = session.spec.episode.number
        self.ledger = [row for row in ledger if row.episode < number]
        self.names = {row.entry: row.name or row.entry for row in self.ledger}
        self.told: set[object] = set()

    def results(self) -> dict[tuple[str, str], Figure]:
        """Return the ledger's standing results as figures, by (entry, figure)."""
        found: dict[tuple[str, str], Figure] = {}
        for (entry, key), row in standing_rows(self.ledger).items():
            if key in self.scored and key in self.session.spec.figures and row.value is not None:
                figure = self._figure(row, row.value)
                if figure is not None:
                    found[entry, key] = figure
        return found

    def _figure(self, row: LedgerRow, value: Decimal) -> Figure | None:
        spec = self.session.spec.figures[row.figure]
        # Where neither the declaration nor this session's runs say, the first row's unit is taken.
        unit = self.units.setdefault(row.figure, spec.unit or row.unit)
        with self._once(("ledger", row.line), file=self.ledger_file, line=row.line, field="value"):
            number = float(value) if unit == row.unit else convert(float(value), row.unit, unit)
            tests = self.session.spec.tests_of(row.figure)
            return Figure(
                figure=row.figure,
                entry=row.entry,
                test=next(iter(tests)) if len(tests) == 1 else None,
                value=number,
                unit=unit,
                places=spec.places,
                shown=fixed(value if unit == row.unit else number, spec.places),
                repeats=(),
                median_repeat=None,
                spread=None,
                n=0,
            )
        return None

    def rows(
        self,
        results: Mapping[tuple[str, str], Figure],
        names: Mapping[str, str],
        *,
        own_entries: Iterable[str] = (),
    ) -> list[ScoreRow]:
        """Return the score rows of one moment, in the order the entries came."""
        entries = list(dict.fromkeys([*(entry for entry, _ in results), *own_entries]))
        order = [entry for entry in names if entry in set(entries)]
        bests = {key: self._best(points, results) for key, points in self.columns.items()}
        points = {
            entry: {
                key: self._points(key, entry, results.get((entry, column.figure)), bests[key])
                for key, column in self.columns.items()
            }
            for entry in order
        }
        scores = [_sum(points[entry].values()) for entry in order]
        places = ranks(scores)
        return [
            ScoreRow(
                entry=entry,
                name=names[entry],
                figures={
                    key: results.get((entry, column.figure)) for key, column in self.columns.items()
                },
                points=points[entry],
                score=score,
                rank=place,
            )
            for entry, score, place in zip(order, scores, places, strict=True)
        ]

    def _best(
        self, points: PointsSpec, results: Mapping[tuple[str, str], Figure]
    ) -> Decimal | None:
        spec = self.session.spec.figures.get(points.figure)
        values = [
            Decimal(figure.shown) for (_, key), figure in results.items() if key == points.figure
        ]
        if spec is None or not values:
            return None
        return max(values) if spec.better == "higher" else min(values)

    def _points(
        self, key: str, entry: str, figure: Figure | None, best: Decimal | None
    ) -> Decimal | None:
        if figure is None:
            return None
        column = self.columns[key]
        judged = Judged(
            value=Decimal(figure.shown),
            unit=figure.unit,
            better=self.session.spec.figures[column.figure].better,
            best=best,
            claim=self._claim(column, entry),
        )
        line = self.session.line("points", key)
        with self._once(("points", key), file="session.toml", line=line, field=f"points.{key}"):
            return points_of(column, judged)
        return None

    def _claim(self, column: PointsSpec, entry: str) -> Quantity | None:
        if not isinstance(column, ClaimPoints):
            return None
        own = self.session.spec.entries.get(entry)
        if own is not None and column.claim in own.attributes:
            return own.attributes[column.claim]
        row = standing_rows(self.ledger).get((entry, column.claim))
        return Quantity(float(row.value), row.unit) if row and row.value is not None else None

    @contextmanager
    def _once(self, what: object, *, file: str, line: int | None, field: str) -> Iterator[None]:
        """Collect a problem the first time it comes up; it comes up for every entry."""
        target = Problems() if what in self.told else self.problems
        before = len(target.errors)
        with target.collecting(file=file, line=line, field=field):
            yield
        if len(target.errors) > before:
            self.told.add(what)


def _sum(points: Iterable[Decimal | None]) -> Decimal | None:
    known = [number for number in points if number is not None]
    return sum(known, Decimal(0)) if known else None
