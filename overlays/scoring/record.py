"""What goes into the ledger: an episode's results, re-tests and errata."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

from overlays.errors import LedgerError
from overlays.model.pointspec import ClaimPoints
from overlays.model.result import Figure, Results
from overlays.model.session import Session
from overlays.scoring.ledger import LedgerRow, append_rows, standing_rows
from overlays.session.paths import ledger_path

__all__ = ["record_results", "withdraw_result"]


def record_results(results: Results, *, reason: str = "") -> tuple[LedgerRow, ...]:
    """Add this episode's results to the season's ledger.

    Only what differs from what stands is added, so that recording twice adds nothing, and a
    re-test adds the figures it changed.

    Parameters
    ----------
    results : Results
        What was worked out.
    reason : str
        Why a result is recorded again; needed where one of this episode stands already.

    Returns
    -------
    tuple of LedgerRow
        The rows added.

    Raises
    ------
    LedgerError
        If the session declares no ledger, a re-test has no reason, or the ledger is held or
        damaged.
    """
    session = results.session
    return append_rows(
        _path(session),
        lambda rows: _new_rows(results, standing_rows(rows), reason),
        file=session.spec.episode.ledger or "",
    )


def _path(session: Session) -> Path:
    declared = session.spec.episode.ledger
    if declared is None:
        raise LedgerError(
            "the session declares no ledger.",
            code="no-ledger",
            file="session.toml",
            line=session.line("episode"),
            field="episode.ledger",
            remedy='Add it, such as ledger = "../ledger.csv".',
        )
    return ledger_path(session.folder, declared)


def _new_rows(
    results: Results, standing: Mapping[tuple[str, str], LedgerRow], reason: str
) -> list[LedgerRow]:
    rows = []
    for row in _rows(results):
        before = standing.get((row.entry, row.figure))
        same = before is not None and (before.value, before.unit) == (row.value, row.unit)
        if same and before is not None and before.name == row.name:
            continue
        again = before is not None and before.episode == row.episode and not same
        if again and not reason:
            raise LedgerError(
                f"{row.figure} of {row.entry} stands in the ledger already for this episode, "
                f"with {before.value if before else ''}; now it is {row.value}.",
                code="re-test-without-reason",
                file=results.session.spec.episode.ledger,
                remedy="Say why it is recorded again.",
            )
        rows.append(replace(row, reason=reason if before is not None else ""))
    return rows


def _rows(results: Results) -> list[LedgerRow]:
    session = results.session
    spec = session.spec
    scored = dict.fromkeys(points.figure for points in spec.points.values())
    claims = dict.fromkeys(
        points.claim for points in spec.points.values() if isinstance(points, ClaimPoints)
    )
    rows = []
    for entry, declared in spec.entries.items():
        empty = LedgerRow(
            episode=spec.episode.number,
            date=spec.episode.date,
            entry=entry,
            name=declared.name,
            figure="",
            value=None,
            unit="",
            source=f"episode {spec.episode.number}",
        )
        for key in scored:
            figure = results.figures[key, entry]
            if figure.value is not None:
                value = Decimal(figure.shown)
                source = f"{empty.source}, {_runs(figure)}"
                rows.append(
                    replace(empty, figure=key, value=value, unit=figure.unit, source=source)
                )
        for key in claims:
            claim = declared.attributes.get(key)
            if claim is not None:
                value = Decimal(f"{claim.value:.{claim.places}f}")
                rows.append(replace(empty, figure=key, value=value, unit=claim.unit))
    return rows


def _runs(figure: Figure) -> str:
    if figure.median_repeat is None:
        return "of several tests"
    return f"run {figure.median_repeat} of {figure.n}"


def withdraw_result(
    session: Session, entry: str, figures: Sequence[str], *, reason: str
) -> tuple[LedgerRow, ...]:
    """Take results of an entry back, with the reason; history stays.

    Parameters
    ----------
    session : Session
        In whose episode the erratum is published.
    entry : str
        Key of the entry.
    figures : sequence of str
        Keys of the figures; empty for everything of the entry that stands.
    reason : str
        Why; it is kept for good.

    Returns
    -------
    tuple of LedgerRow
        The rows added.

    Raises
    ------
    LedgerError
        If nothing of that kind stands, the reason is empty, or the ledger is held or damaged.
    """
    file = session.spec.episode.ledger or ""
    if not reason.strip():
        raise LedgerError(
            f"a withdrawal of {entry} needs its reason: it is kept for good, and shown.",
            code="withdrawal-without-reason",
            file=file,
            remedy="Say what was wrong with the result.",
        )

    def make(rows: tuple[LedgerRow, ...]) -> list[LedgerRow]:
        standing = standing_rows(rows)
        wanted = figures or [figure for one, figure in standing if one == entry]
        missing = [figure for figure in wanted if (entry, figure) not in standing]
        if missing or not wanted:
            raise LedgerError(
                f"no result of {entry} stands for {', '.join(missing) or 'any figure'}.",
                code="nothing-to-withdraw",
                file=file,
                remedy="Check entry and figure.",
            )
        return [
            replace(
                standing[entry, figure],
                episode=session.spec.episode.number,
                date=session.spec.episode.date,
                value=None,
                source=f"episode {session.spec.episode.number}",
                action="withdrawn",
                reason=reason,
                line=None,
            )
            for figure in wanted
        ]

    return append_rows(_path(session), make, file=file)
