"""The ledger: reading, history, and writers that take turns and may be killed."""

from __future__ import annotations

import csv
import multiprocessing
import tempfile
import time
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace
from functools import partial
from multiprocessing.connection import Connection
from pathlib import Path

import numpy as np
import pytest
from filelock import FileLock
from hypothesis import given
from hypothesis import strategies as st

from overlays.errors import LedgerError, ProblemsFound, TracereelError
from overlays.scoring import ledger as module
from overlays.scoring.ledger import (
    COLUMNS,
    LedgerRow,
    append_rows,
    read_ledger,
    standing_rows,
)
from tests.scoring.building import ledger_row

HEADER = ",".join(COLUMNS)
ROW = "1,2026-01-10,cedar,Cedar,held,50.0,N,episode 1,result,"


def written(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "ledger.csv"
    path.write_bytes(text.encode())
    return path


def read(path: Path) -> tuple[LedgerRow, ...]:
    return read_ledger(path, file="ledger.csv")


def test_a_row_is_read(tmp_path: Path) -> None:
    """Everything in a row arrives, with its line."""
    (row,) = read(written(tmp_path, f"{HEADER}\n{ROW}\n"))
    expected = replace(ledger_row(1, "cedar", "held", "50.0"), line=2)
    assert row == replace(expected, date=row.date)
    assert row.date.isoformat() == "2026-01-10"


# What is put in place of the row, and what is then wrong with line 2.
FAULTS = [
    ("one,2026-01-10,cedar,Cedar,held,50.0,N,e,result,", "bad-ledger-row", "episode"),
    ("0,2026-01-10,cedar,Cedar,held,50.0,N,e,result,", "bad-ledger-row", "episode"),
    ("1,10.01.2026,cedar,Cedar,held,50.0,N,e,result,", "bad-ledger-row", "date"),
    ("1,2026-02-30,cedar,Cedar,held,50.0,N,e,result,", "bad-ledger-row", "date"),
    ("1,2026-01-10,Cedar,Cedar,held,50.0,N,e,result,", "bad-ledger-row", "entry"),
    ("1,2026-01-10,cedar,Cedar,,50.0,N,e,result,", "bad-ledger-row", "figure"),
    ("1,2026-01-10,cedar,Cedar,held,,N,e,result,", "bad-ledger-row", "value"),
    ("1,2026-01-10,cedar,Cedar,held,nan,N,e,result,", "bad-ledger-row", "value"),
    ('1,2026-01-10,cedar,Cedar,held,"50,0",N,e,result,', "bad-ledger-row", "value"),
    ("1,2026-01-10,cedar,Cedar,held,50.0,Nn,e,result,", "unknown-unit", "unit"),
    ("1,2026-01-10,cedar,Cedar,held,50.0,N,e,erased,", "bad-ledger-row", "action"),
    ("1,2026-01-10,cedar,Cedar,held,,N,e,withdrawn,", "bad-ledger-row", "reason"),
    ("1,2026-01-10,cedar,Cedar,held,,N,e,withdrawn,why", "nothing-to-withdraw", ""),
    ("1,2026-01-10,cedar", "bad-ledger-row", ""),
    (f"{ROW},", "bad-ledger-row", ""),
]


@pytest.mark.parametrize(("row", "code", "field"), FAULTS)
def test_each_fault_is_one_error_with_its_line(
    tmp_path: Path, row: str, code: str, field: str
) -> None:
    """A damaged row is told; the whole rows around it do not hide it."""
    path = written(tmp_path, f"{HEADER}\n{row}\n{ROW.replace('cedar', 'dale')}\n")
    with pytest.raises(ProblemsFound) as caught:
        read(path)
    (problem,) = caught.value.found
    assert (problem.code, problem.file, problem.line) == (code, "ledger.csv", 2)
    assert problem.message.startswith(f"{field}: " if field else "")


@pytest.mark.parametrize(
    ("content", "code"),
    [
        (b"name,score\nCedar,3\n", "not-a-ledger"),
        (b"\xff\xfe", "not-utf-8"),
        (f'{HEADER}\n"1,2026'.encode(), "bad-csv"),
    ],
)
def test_what_is_no_ledger_is_told(tmp_path: Path, content: bytes, code: str) -> None:
    """Another table, other bytes or a quotation mark left open are one error."""
    path = tmp_path / "ledger.csv"
    path.write_bytes(content)
    with pytest.raises(TracereelError) as caught:
        read(path)
    assert caught.value.code == code


def test_a_missing_ledger_is_told(tmp_path: Path) -> None:
    """Reading what is not there is an error of the ledger, not of the system."""
    with pytest.raises(LedgerError) as caught:
        read(tmp_path / "none.csv")
    assert caught.value.code == "missing-ledger"


@pytest.mark.parametrize("line_end", ["\n", "\r\n"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
@pytest.mark.parametrize("last", ["", "end"])
def test_what_a_spreadsheet_saved_keeps_its_bytes(
    tmp_path: Path, line_end: str, mark: str, last: str
) -> None:
    """Appending adds to the end, in the file's own manner, and touches nothing before."""
    text = mark + line_end.join([HEADER, ROW]) + (line_end if last else "")
    path = written(tmp_path, text)
    added = append_rows(path, lambda _: [ledger_row(2, "dale", "held", "41.5")], file="l")
    assert len(added) == 1
    content = path.read_bytes()
    assert content.startswith(text.encode())
    assert content.endswith(line_end.encode())
    assert content.count(b"\r\n") == (3 if line_end == "\r\n" else 0)
    assert [row.entry for row in read(path)] == ["cedar", "dale"]


def test_a_new_ledger_gets_its_header(tmp_path: Path) -> None:
    """The first row makes the file, and the folder where it is missing."""
    path = tmp_path / "season" / "ledger.csv"
    append_rows(
        path, lambda rows: [ledger_row(1, "cedar", "held", "5.0")] if not rows else [], file="l"
    )
    with path.open(encoding="utf-8", newline="") as lines:
        assert next(csv.reader(lines)) == list(COLUMNS)
    assert len(read(path)) == 1


def test_nothing_to_add_touches_nothing(tmp_path: Path) -> None:
    """Asking for no rows writes no file."""
    path = tmp_path / "ledger.csv"
    assert append_rows(path, lambda _: [], file="l") == ()
    assert not path.exists()


def test_rows_that_would_damage_it_are_refused_whole(tmp_path: Path) -> None:
    """If one of two rows cannot be read back, neither is written."""
    path = written(tmp_path, f"{HEADER}\n{ROW}\n")
    before = path.read_bytes()
    bad = replace(ledger_row(2, "dale", "held", "1"), unit="nonsense")
    with pytest.raises(ProblemsFound):
        append_rows(path, lambda _: [ledger_row(2, "elder", "held", "1"), bad], file="l")
    assert path.read_bytes() == before


def test_a_damaged_ledger_is_not_added_to(tmp_path: Path) -> None:
    """Nothing is written behind a damaged row."""
    path = written(tmp_path, f"{HEADER}\nrubbish\n")
    with pytest.raises(ProblemsFound):
        append_rows(path, lambda _: [ledger_row(2, "dale", "held", "1")], file="l")


def test_a_ledger_held_by_another_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Waiting ends with an error that says so."""
    monkeypatch.setattr(module, "_LOCK_WAIT_S", 0.05)
    path = written(tmp_path, f"{HEADER}\n")
    with FileLock(tmp_path / ".ledger.csv.lock"), pytest.raises(LedgerError) as caught:
        append_rows(path, lambda _: [ledger_row(1, "dale", "held", "1")], file="l")
    assert caught.value.code == "ledger-held"


def test_later_results_supersede_and_withdrawals_take_back() -> None:
    """What stands is the last result, unless it was withdrawn; earlier moments keep theirs."""
    rows = [
        ledger_row(1, "cedar", "held", "50.0"),
        ledger_row(2, "cedar", "held", "55.0"),
        ledger_row(3, "cedar", "held", None, reason="wrong strap"),
        ledger_row(4, "cedar", "held", "52.0"),
    ]
    found = [standing_rows(rows, up_to=number).get(("cedar", "held")) for number in range(5)]
    assert [str(row.value) if row else None for row in found] == [
        None,
        "50.0",
        "55.0",
        None,
        "52.0",
    ]


@given(
    st.lists(
        st.tuples(
            st.integers(1, 99),
            st.from_regex(r"[a-z][a-z0-9_]{0,8}", fullmatch=True),
            st.decimals(-(10**6), 10**6, places=3),
            st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=20).map(str.strip),
        ),
        min_size=1,
        max_size=10,
    )
)
def test_what_is_written_is_read_again(table: list[tuple[int, str, object, str]]) -> None:
    """Any names, values and reasons survive: commas, quotation marks, every alphabet."""
    rows = [
        replace(ledger_row(1, entry, "held", f"{value:f}"), episode=episode, name=name, source=name)
        for episode, entry, value, name in table
    ]
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "ledger.csv"
        append_rows(path, lambda _: rows, file="l")
        assert [replace(row, line=None) for row in read(path)] == rows


def write_rows(path: Path, who: str, count: int, told: Connection | None = None) -> None:
    """Add rows one after the other, and tell after each that it stands."""
    for number in range(count):
        rows = [ledger_row(1, who, f"f{number}", str(number))]
        append_rows(path, partial(_these, rows), file="l")
        if told is not None:
            told.send(number)


def _these(rows: list[LedgerRow], _before: tuple[LedgerRow, ...]) -> list[LedgerRow]:
    return rows


def in_order(rows: Sequence[LedgerRow], who: str) -> int:
    """Return how many rows of a writer stand, having made sure that they do so in order."""
    own = [row.figure for row in rows if row.entry == who]
    assert own == [f"f{place}" for place in range(len(own))]
    return len(own)


@pytest.mark.slow
def test_eight_writers_at_once_lose_nothing(tmp_path: Path) -> None:
    """Eight processes add ten rows each; all eighty stand, each writer's in its order."""
    path = tmp_path / "ledger.csv"
    writers = [
        multiprocessing.Process(target=write_rows, args=(path, f"w{n}", 10)) for n in range(8)
    ]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join(timeout=60)
        assert writer.exitcode == 0
    rows = read(path)
    assert len(rows) == 80
    assert [in_order(rows, f"w{number}") for number in range(8)] == [10] * 8


@pytest.mark.slow
def test_fifty_kills_leave_whole_rows_only(tmp_path: Path) -> None:
    """A writer killed at any moment loses no row it reported, and leaves no half row."""
    path = tmp_path / "ledger.csv"
    write_rows(path, "first", 1)
    chance = np.random.default_rng(11)
    for kill in range(50):
        heard, told = multiprocessing.Pipe(duplex=False)
        writer = multiprocessing.Process(target=write_rows, args=(path, f"k{kill}", 10_000, told))
        writer.start()
        told.close()
        reported = heard.recv() + 1
        time.sleep(chance.uniform(0, 0.02))
        writer.kill()
        writer.join(timeout=60)
        with suppress(EOFError):
            while heard.poll(1):
                reported = heard.recv() + 1
        assert in_order(read(path), f"k{kill}") >= reported
        assert path.read_bytes().endswith(b"\n")
    # The next writer goes on as if nothing had been, and nothing of the first is lost.
    write_rows(path, "last", 2)
    rows = read(path)
    assert (in_order(rows, "first"), in_order(rows, "last")) == (1, 2)
