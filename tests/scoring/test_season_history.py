"""A season of twelve entries and nine episodes, with re-tests and errata, shown again."""

from __future__ import annotations

from dataclasses import replace
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path

import numpy as np
import pytest

from overlays.errors import Problems
from overlays.scoring.ledger import LedgerRow, append_rows, read_ledger
from overlays.scoring.standings import season_history
from overlays.scoring.tables import standings_text
from tests.scoring.building import ledger_row, results, session

POINTS = """
[points.held]
figure = "held"
most = 60

[points.pulled]
figure = "pulled"
most = 40
"""
FIGURES = ("held", "pulled")


def invented_season() -> dict[int, list[LedgerRow]]:
    """Return the rows of each episode, drawn with a fixed seed."""
    rng = np.random.default_rng(12)
    rows: dict[int, list[LedgerRow]] = {number: [] for number in range(1, 10)}
    for place in range(12):
        for figure in FIGURES:
            value = f"{rng.uniform(20, 90):.1f}"
            rows[1 + place * 3 // 4].append(
                ledger_row(1 + place * 3 // 4, f"e{place}", figure, value)
            )
    rows[5].append(ledger_row(5, "e1", "held", "88.8"))
    rows[6].append(ledger_row(6, "e2", "pulled", None, reason="wrong spring"))
    rows[8].append(ledger_row(8, "e2", "pulled", "33.3"))
    rows[9].append(ledger_row(9, "e4", "held", "12.5"))
    return rows


def by_hand(standing: dict[tuple[str, str], Decimal]) -> dict[str, Decimal]:
    """Score what stands by the plainest arithmetic there is."""
    scores: dict[str, Decimal] = {}
    for figure, most in zip(FIGURES, (60, 40), strict=True):
        best = max(value for (_, key), value in standing.items() if key == figure)
        for (entry, key), value in standing.items():
            if key == figure:
                points = (value * most / best).quantize(Decimal("0.1"), rounding=ROUND_HALF_UP)
                scores[entry] = scores.get(entry, Decimal(0)) + points
    return scores


def test_the_whole_history_is_shown_again(tmp_path: Path) -> None:
    """Written episode by episode and read back, every table is that of its own time."""
    path, one = tmp_path / "ledger.csv", session(POINTS)
    then: dict[int, str] = {}
    of = results(one, {}, Problems())
    standing: dict[tuple[str, str], Decimal] = {}
    for number, rows in invented_season().items():
        append_rows(path, lambda _, rows=rows: rows, file="l")  # type: ignore[misc]  # bound on purpose
        for row in rows:
            if row.value is None:
                del standing[row.entry, row.figure]
            else:
                standing[row.entry, row.figure] = row.value
        ledger = read_ledger(path, file="l")
        history = season_history(one, ledger, Problems())
        assert list(history) == list(range(1, number + 1))
        assert {o.row.entry: o.row.score for o in history[number]} == by_hand(standing)
        then[number] = standings_text(of, "csv", standings=history[number])
    assert len(history[9]) == 12
    for number, text in then.items():
        assert standings_text(of, "csv", standings=history[number]) == text


def test_ranks_before_are_those_of_the_episode_before() -> None:
    """Each table's ranks before are the ranks of the table before it."""
    ledger = [row for rows in invented_season().values() for row in rows]
    history = season_history(session(POINTS), ledger, Problems())
    for number in range(2, 10):
        earlier = {one.row.entry: one.row.rank for one in history[number - 1]}
        assert {one.row.entry: one.previous_rank for one in history[number]} == {
            one.row.entry: earlier.get(one.row.entry) for one in history[number]
        }


@pytest.mark.parametrize("number", [1, 5, 9])
def test_every_total_is_the_sum_of_its_row(number: int) -> None:
    """Read from the text that people see, not from the data behind it."""
    ledger = [row for rows in invented_season().values() for row in rows]
    one = session(POINTS)
    history = season_history(one, ledger, Problems())
    text = standings_text(results(one, {}, Problems()), "csv", standings=history[number])
    _, *lines = text.splitlines()
    assert len(lines) == len(history[number])
    for line in lines:
        *points, total = line.split(",")[3:]
        assert sum((Decimal(p) for p in points if p != "–"), Decimal(0)) == Decimal(total)


def test_a_session_opened_again_shows_its_own_time() -> None:
    """Rows added by later episodes change nothing for an earlier session."""
    rows = invented_season()
    ledger = [row for number in rows for row in rows[number]]
    early = [row for row in ledger if row.episode < 3]
    one = session(POINTS)
    from overlays.scoring.standings import season_standings

    own = results(one, {("ash", "hold"): [55.0], ("ash", "pull"): [44.0]}, Problems())
    with_later = season_standings(one, own.figures, ledger, Problems())
    assert with_later == season_standings(one, own.figures, early, Problems())
    assert replace(own, standings=with_later).standings[0].row.rank == 1
