"""The season's ledger: every result ever published, in the order it came.

A CSV file to which rows are only ever added. A later result of the same entry and figure
supersedes an earlier one; a withdrawal takes the standing one back, with its reason. What stood
after any episode can therefore be told again exactly. Writers take turns under a lock, and a
writer that is killed leaves the file as it was.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Literal

from overlays.errors import LedgerError, Problems, UnitError
from overlays.files import written_whole
from overlays.session.stored import stored_bytes
from overlays.units import symbol

__all__ = ["COLUMNS", "LedgerRow", "append_rows", "read_ledger", "standing_rows"]

COLUMNS = (
    "episode",
    "date",
    "entry",
    "name",
    "figure",
    "value",
    "unit",
    "source",
    "action",
    "reason",
)
_LOCK_WAIT_S = 30.0
_LARGEST = 50_000_000
_KEY = re.compile(r"[a-z][a-z0-9_]{0,39}")
_NUMBER = re.compile(r"-?\d{1,15}(\.\d{1,10})?")


@dataclass(frozen=True, slots=True)
class LedgerRow:
    """One row of the ledger.

    Parameters
    ----------
    episode : int
        The episode in which the row was written.
    date : date
        Of that episode.
    entry, name : str
        Key of the entry, and the name shown for it.
    figure : str
        Key of the figure, or of an attribute that a rule needs.
    value : Decimal or None
        As shown; None for a withdrawal.
    unit : str
        Of the value.
    source : str
        Where it comes from, in words.
    action : {"result", "withdrawn"}
        What the row does.
    reason : str
        Why, for a withdrawal or a re-test.
    line : int or None
        Line in the file; None for a row not yet written.
    """

    episode: int
    date: date
    entry: str
    name: str
    figure: str
    value: Decimal | None
    unit: str
    source: str
    action: Literal["result", "withdrawn"] = "result"
    reason: str = ""
    line: int | None = None

    def cells(self) -> tuple[str, ...]:
        """Return the row as written, in the order of `COLUMNS`."""
        value = "" if self.value is None else f"{self.value:f}"
        return (
            str(self.episode),
            self.date.isoformat(),
            self.entry,
            self.name,
            self.figure,
            value,
            self.unit,
            self.source,
            self.action,
            self.reason,
        )


def standing_rows(
    rows: Iterable[LedgerRow], *, up_to: int | None = None
) -> Mapping[tuple[str, str], LedgerRow]:
    """Return the results that stand, by entry and figure.

    Parameters
    ----------
    rows : iterable of LedgerRow
        In the order of the file.
    up_to : int, optional
        The last episode whose rows count; all of them where it is left out.
    """
    standing: dict[tuple[str, str], LedgerRow] = {}
    for row in rows:
        if up_to is not None and row.episode > up_to:
            continue
        if row.action == "withdrawn":
            standing.pop((row.entry, row.figure), None)
        else:
            standing[row.entry, row.figure] = row
    return standing


def read_ledger(path: Path, *, file: str) -> tuple[LedgerRow, ...]:
    """Read a ledger.

    Parameters
    ----------
    path : Path
        The file.
    file : str
        The same as the user knows it, for messages.

    Raises
    ------
    ProblemsFound
        With every row that cannot be read.
    LedgerError
        If the file is no ledger at all.
    """
    return _parsed(_content(path, file), file)


def _content(path: Path, file: str) -> bytes:
    try:
        return stored_bytes(path, largest=_LARGEST, file=file, raises=LedgerError)
    except OSError as error:
        raise LedgerError(
            "the ledger cannot be opened.",
            code="missing-ledger",
            file=file,
            remedy="Put it there, or correct 'ledger' in session.toml.",
        ) from error


def _parsed(content: bytes, file: str) -> tuple[LedgerRow, ...]:
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise LedgerError(
            "the ledger is not UTF-8 text.",
            code="not-utf-8",
            file=file,
            line=content.count(b"\n", 0, error.start) + 1,
            remedy="Save it as UTF-8 (in a spreadsheet: CSV UTF-8).",
        ) from error
    problems = Problems()
    rows: list[LedgerRow] = []
    standing: set[tuple[str, str]] = set()
    for line, cells in _lines(text, file):
        with problems.collecting(file=file, line=line):
            row = _row(cells, line)
            if row.action == "withdrawn" and (row.entry, row.figure) not in standing:
                raise LedgerError(
                    f"{row.figure} of {row.entry} is withdrawn, but no result of it stands.",
                    code="nothing-to-withdraw",
                    remedy="Check entry and figure.",
                )
            (standing.add if row.action == "result" else standing.discard)((row.entry, row.figure))
            rows.append(row)
    problems.raise_errors()
    return tuple(rows)


def _lines(text: str, file: str) -> Iterable[tuple[int, list[str]]]:
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    header_seen = False
    while True:
        line = reader.line_num + 1
        try:
            cells = next(reader)
        except StopIteration:
            break
        except csv.Error as error:
            raise LedgerError(
                f"the row cannot be read: {error}.",
                code="bad-csv",
                file=file,
                line=line,
                remedy="Check its quotation marks.",
            ) from error
        if header_seen and any(cells):
            yield line, cells
        elif not header_seen and tuple(cells) != COLUMNS:
            raise LedgerError(
                f"this is no ledger: its first line is {','.join(cells)[:80]!r}.",
                code="not-a-ledger",
                file=file,
                line=1,
                remedy=f"Expected {','.join(COLUMNS)}.",
            )
        header_seen = True


def _row(cells: Sequence[str], line: int) -> LedgerRow:
    if len(cells) != len(COLUMNS):
        raise _bad(f"found {len(cells)} values; expected {len(COLUMNS)}.", None)
    row = dict(zip(COLUMNS, (cell.strip() for cell in cells), strict=True))
    if not re.fullmatch(r"[1-9]\d{0,5}", row["episode"]):
        raise _bad(f"found {row['episode']!r}; expected an episode's number.", "episode")
    try:
        day = date.fromisoformat(row["date"])
    except ValueError as error:
        raise _bad(f"found {row['date']!r}; expected a date like 2026-03-21.", "date") from error
    for name in ("entry", "figure"):
        if not _KEY.fullmatch(row[name]):
            raise _bad(f"found {row[name]!r}; expected a key.", name)
    action = row["action"]
    if action not in {"result", "withdrawn"}:
        raise _bad(f"found {action!r}; expected result or withdrawn.", "action")
    if action == "withdrawn" and not row["reason"]:
        raise _bad("a withdrawal needs its reason.", "reason")
    if action == "result" and not _NUMBER.fullmatch(row["value"]):
        raise _bad(f"found {row['value']!r}; expected a number.", "value")
    try:
        symbol(row["unit"])
    except UnitError as error:
        raise error.at(field="unit") from error
    return LedgerRow(
        episode=int(row["episode"]),
        date=day,
        entry=row["entry"],
        name=row["name"],
        figure=row["figure"],
        value=Decimal(row["value"]) if action == "result" else None,
        unit=row["unit"],
        source=row["source"],
        action="result" if action == "result" else "withdrawn",
        reason=row["reason"],
        line=line,
    )


def _bad(message: str, field: str | None) -> LedgerError:
    return LedgerError(
        message,
        code="bad-ledger-row",
        field=field,
        remedy="Correct the row, or take the file back from a copy; rows are only ever added.",
    )


def append_rows(
    path: Path,
    make: Callable[[tuple[LedgerRow, ...]], Sequence[LedgerRow]],
    *,
    file: str,
) -> tuple[LedgerRow, ...]:
    """Add rows to a ledger, and make it where there is none.

    The rows already there keep their bytes. Either all the new rows are added or none; writers
    take turns, and what is to be added is asked for while nobody else can write.

    Parameters
    ----------
    path : Path
        The ledger.
    make : callable
        Takes the rows there are and returns those to add, in order.
    file : str
        The ledger as the user knows it, for messages.

    Returns
    -------
    tuple of LedgerRow
        The rows added.

    Raises
    ------
    LedgerError
        If another writer holds the ledger for longer than 30 s, the ledger there is damaged, or a
        row would make it so.
    WorkError
        If it cannot be written.
    """
    # Imported here because a reader of ledgers needs no lock.
    from filelock import FileLock, Timeout

    path = path.resolve()
    path.parent.mkdir(parents=True, exist_ok=True)
    try:
        with FileLock(path.with_name(f".{path.name}.lock"), timeout=_LOCK_WAIT_S):
            return _append(path, make, file)
    except Timeout as error:
        raise LedgerError(
            f"another program has been writing the ledger for {_LOCK_WAIT_S:g} s.",
            code="ledger-held",
            file=file,
            remedy="Wait until it is done, then try again.",
        ) from error


def _append(
    path: Path, make: Callable[[tuple[LedgerRow, ...]], Sequence[LedgerRow]], file: str
) -> tuple[LedgerRow, ...]:
    before = _content(path, file) if path.exists() else b""
    rows = tuple(make(_parsed(before, file) if before else ()))
    if not rows:
        return ()
    line_end = "\r\n" if b"\r\n" in before else "\n"
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator=line_end)
    if not before:
        writer.writerow(COLUMNS)
    elif not before.endswith(b"\n"):
        text.write(line_end)
    writer.writerows(row.cells() for row in rows)
    after = before + text.getvalue().encode("utf-8")
    # What is written must be readable again, by the same rules.
    _parsed(after, file)
    with written_whole(path) as part:
        part.write_bytes(after)
    return rows
