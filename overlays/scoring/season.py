"""A season at one moment: which results stand, and what they are worth."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from decimal import Decimal
from functools import cached_property

from overlays.errors import Problems
from overlays.model.pointspec import ClaimPoints, PointsSpec
from overlays.model.result import Figure, ScoreRow
from overlays.model.session import Session
from overlays.numbers import fixed
from overlays.scoring.ledger import LedgerRow, standing_rows
from overlays.scoring.points import Judged, points_of
from overlays.scoring.ranking import ranked
from overlays.units import Quantity, convert, convert_difference

__all__ = ["Season", "SeasonResults", "best_of", "own_results", "units_of"]

# (entry, figure) → the figure.
SeasonResults = Mapping[tuple[str, str], Figure]


def best_of(session: Session, figure: str, values: Iterable[Decimal]) -> Decimal | None:
    """Return the best of values of a figure, None where there are none."""
    found = list(values)
    if not found or figure not in session.spec.figures:
        return None
    return max(found) if session.spec.figures[figure].better == "higher" else min(found)


def own_results(session: Session, figures: Mapping[tuple[str, str], Figure]) -> SeasonResults:
    """Return this session's scored figures, by (entry, figure); missing ones are left out."""
    scored = {points.figure for points in session.spec.points.values()}
    return {
        (entry, key): figure
        for (key, entry), figure in figures.items()
        if figure.value is not None and key in scored
    }


def units_of(results: SeasonResults) -> dict[str, str]:
    """Return the unit of each figure."""
    return {key: figure.unit for (_, key), figure in results.items()}


class Season:
    """The columns a session declares, and the ledger of its season.

    Parameters
    ----------
    session : Session
        What is declared.
    ledger : sequence of LedgerRow
        All of it, in the order of the file.
    units : Mapping[str, str]
        Unit of each figure as this session's runs have it; the others take their declared unit,
        or that of their first row.
    problems : Problems
        Receives what a rule cannot do and ledger rows whose unit does not fit, each once.
    ledger_file : str
        The ledger as the user knows it.
    """

    def __init__(
        self,
        session: Session,
        ledger: Sequence[LedgerRow],
        problems: Problems,
        *,
        units: Mapping[str, str] | None = None,
        ledger_file: str = "",
    ) -> None:
        self.session = session
        self.columns = session.spec.points
        self.scored = {points.figure for points in self.columns.values()}
        self.ledger = tuple(ledger)
        self._units = dict(units or {})
        self._problems = problems
        self._ledger_file = ledger_file
        self._told: set[object] = set()
        self._standing: dict[int, Mapping[tuple[str, str], LedgerRow]] = {}
        self._known_points: dict[tuple[str, Judged], Decimal | None] = {}

    def names(self, up_to: int) -> dict[str, str]:
        """Return the name of every entry in the ledger, in the order they came."""
        return {row.entry: row.name or row.entry for row in self.ledger if row.episode <= up_to}

    def results(self, up_to: int) -> dict[tuple[str, str], Figure]:
        """Return the scored results that stand after an episode, from the ledger alone."""
        found: dict[tuple[str, str], Figure] = {}
        for (entry, key), row in standing_rows(self.ledger, up_to=up_to).items():
            if key in self.scored and key in self.session.spec.figures and row.value is not None:
                figure = self._figure(row, row.value)
                if figure is not None:
                    found[entry, key] = figure
        return found

    def before(self) -> list[ScoreRow]:
        """Return the rows as they stood before the session's episode."""
        last = self.session.spec.episode.number - 1
        return self.rows(self._known, self.names(last), up_to=last)

    def after(self, own: SeasonResults) -> list[ScoreRow]:
        """Return the rows after the session's episode, given its own results."""
        spec = self.session.spec
        names = self.names(spec.episode.number - 1)
        names |= {key: entry.name for key, entry in spec.entries.items()}
        return self.rows(
            {**self._known, **own}, names, up_to=spec.episode.number, own_entries=spec.entries
        )

    @cached_property
    def _known(self) -> SeasonResults:
        return self.results(self.session.spec.episode.number - 1)

    def _figure(self, row: LedgerRow, value: Decimal) -> Figure | None:
        spec = self.session.spec.figures[row.figure]
        unit = self._units.setdefault(row.figure, spec.unit or row.unit)
        with self._once(("ledger", row.line), self._ledger_file, row.line, "value"):
            number = float(value) if unit == row.unit else convert(float(value), row.unit, unit)
            tests = self.session.spec.tests_of(row.figure)
            places = _places_of(value, row.unit, unit) if spec.places is None else spec.places
            return Figure(
                figure=row.figure,
                entry=row.entry,
                test=next(iter(tests)) if len(tests) == 1 else None,
                value=number,
                unit=unit,
                places=places,
                shown=fixed(value if unit == row.unit else number, places),
                repeats=(),
                median_repeat=None,
                spread=None,
                n=0,
            )
        return None

    def rows(
        self,
        results: SeasonResults,
        names: Mapping[str, str],
        *,
        up_to: int,
        own_entries: Iterable[str] = (),
    ) -> list[ScoreRow]:
        """Return the score rows of one moment, ranked and in order.

        Parameters
        ----------
        results : Mapping[tuple[str, str], Figure]
            By (entry, figure); what stands.
        names : Mapping[str, str]
            Name of every entry, in the order they came.
        up_to : int
            The episode after which this is; references are frozen only from theirs on.
        own_entries : iterable of str
            Entries that have a row even without a result.
        """
        present = {entry for entry, _ in results} | set(own_entries)
        bests = self.bests(results, up_to=up_to)
        rows = []
        for entry in names:
            if entry in present:
                figures = {
                    key: results.get((entry, column.figure)) for key, column in self.columns.items()
                }
                points = {
                    key: self._points(key, entry, figure, bests[key], up_to)
                    for key, figure in figures.items()
                }
                row = ScoreRow(entry, names[entry], figures, points, _sum(points.values()), None)
                rows.append(row)
        return ranked(rows, self.session.spec.standings)

    def bests(self, results: SeasonResults, *, up_to: int) -> dict[str, Decimal | None]:
        """Return what each column's shares are of: the best that stands, or the frozen one."""
        standings = self.session.spec.standings
        frozen = standings.frozen_after if standings.references == "frozen" else None
        if frozen is not None and up_to > frozen:
            results = self.results(frozen)
        return {
            key: best_of(
                self.session,
                column.figure,
                (Decimal(one.shown) for (_, key), one in results.items() if key == column.figure),
            )
            for key, column in self.columns.items()
        }

    def _points(
        self, key: str, entry: str, figure: Figure | None, best: Decimal | None, up_to: int
    ) -> Decimal | None:
        if figure is None:
            return None
        column = self.columns[key]
        judged = self.judged(column, entry, figure, best, up_to=up_to)
        # Judging how sure an order is asks for the same few points thousands of times.
        if (key, judged) not in self._known_points:
            line = self.session.line("points", key)
            self._known_points[key, judged] = None
            file = self.session.file("points")
            with self._once(("points", key), file, line, f"points.{key}"):
                self._known_points[key, judged] = points_of(column, judged)
        return self._known_points[key, judged]

    def judged(
        self,
        column: PointsSpec,
        entry: str,
        figure: Figure,
        best: Decimal | None,
        *,
        up_to: int,
    ) -> Judged:
        """Return a figure as its column's rule takes it, after an episode."""
        return Judged(
            value=Decimal(figure.shown),
            unit=figure.unit,
            better=self.session.spec.figures[column.figure].better,
            best=best,
            claim=self._claim(column, entry, figure, up_to),
        )

    def _claim(self, column: PointsSpec, entry: str, figure: Figure, up_to: int) -> Quantity | None:
        """Return what was claimed when the figure was measured."""
        if not isinstance(column, ClaimPoints):
            return None
        own = self.session.spec.entries.get(entry)
        now = own.attributes.get(column.claim) if own is not None else None
        if figure.n or (row := self._claims(up_to).get((entry, column.claim))) is None:
            return now
        return Quantity(float(row.value), row.unit) if row.value is not None else now

    def _claims(self, up_to: int) -> Mapping[tuple[str, str], LedgerRow]:
        if up_to not in self._standing:
            self._standing[up_to] = standing_rows(self.ledger, up_to=up_to)
        return self._standing[up_to]

    @contextmanager
    def _once(self, what: object, file: str, line: int | None, field: str) -> Iterator[None]:
        """Collect a problem the first time it comes up; it comes up for every entry."""
        target = Problems() if what in self._told else self._problems
        before = len(target.errors)
        with target.collecting(file=file, line=line, field=field):
            yield
        if len(target.errors) > before:
            self._told.add(what)


def _sum(points: Iterable[Decimal | None]) -> Decimal | None:
    known = [number for number in points if number is not None]
    return sum(known, Decimal(0)) if known else None


def _places_of(value: Decimal, unit: str, to: str) -> int:
    """Return the decimals that a recorded result has, in another unit: what it was shown with."""
    written = -int(value.as_tuple().exponent)
    if unit != to:
        written -= math.floor(math.log10(convert_difference(1.0, unit, to)))
    return min(max(0, written), 6)
