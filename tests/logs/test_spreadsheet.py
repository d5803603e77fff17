from __future__ import annotations

import datetime as dt
import zipfile
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from overlays.errors import LogError
from overlays.logs.reader import read_log
from overlays.model.session import ReadingPins
from overlays.model.trace import Log

from .made import notes_of, samples_of

START = dt.datetime.fromisoformat("2025-03-11T23:59:59")


def made(folder: Path, sheets: Mapping[str, Sequence[Sequence[Any]]], **pins: object) -> Log:
    book = openpyxl.Workbook()
    book.remove(book.active)
    for title, rows in sheets.items():
        sheet = book.create_sheet(title)
        for row in rows:
            sheet.append(row)
    path = folder / "a.xlsx"
    book.save(path)
    return read_log(path, file="a.xlsx", pins=ReadingPins.model_validate(pins))


def test_a_sheet(tmp_path: Path) -> None:
    """Names, units and samples are found below a preamble, words left out."""
    rows: list[list[Any]] = [["made up"], [], ["t", "F", "state"], ["s", "kN", None]]
    rows += [[0.1 * i, None if i == 1 else 1e-7 * i, "on"] for i in range(3)]
    log = made(tmp_path, {"run": rows, "about": [["by", "nobody"]]})
    assert (log.layout, log.header_line, log.columns[0].unit) == ("spreadsheet", 3, "kN")
    assert samples_of(log)["F"] == [0.0, None, 2e-7]
    assert log.time_s.tolist() == [0.0, 0.1, 0.2]
    assert "sheet 'run'" in notes_of(log)


@pytest.mark.parametrize(
    ("cells", "elapsed"),
    [
        ([START + dt.timedelta(milliseconds=250 * i) for i in range(3)], [0, 0.25, 0.5]),
        ([START.time(), dt.time(0, 0, 0), dt.time(0, 0, 1)], [0, 1, 2]),
        ([dt.timedelta(hours=25, seconds=i / 2) for i in range(3)], [0, 0.5, 1.0]),
        ([dt.date(2025, 2, 28), dt.date(2025, 3, 1)], [0, 86400]),
    ],
)
def test_dates_and_times(tmp_path: Path, cells: list[Any], elapsed: list[float]) -> None:
    """Dates, times of day and durations are the sheet's own types, and need no guessing."""
    rows: list[list[Any]] = [["time", "v"], *([cell, i] for i, cell in enumerate(cells))]
    assert samples_of(made(tmp_path, {"run": rows}))["elapsed_s"] == elapsed


def test_table_in_a_corner(tmp_path: Path) -> None:
    """Empty rows and columns around the table do not matter."""
    rows: list[list[Any]] = [
        [],
        [],
        [None, None, "t_s", "v"],
        [None, None, 0, 1.5],
        [None, None, 1, 2.5],
    ]
    log = made(tmp_path, {"run": rows})
    assert samples_of(log)["v"] == [1.5, 2.5]
    assert [column.name for column in log.columns] == ["v"]


def test_several_sheets_are_asked(tmp_path: Path) -> None:
    """Two sheets of numbers are asked about, and one can be pinned."""
    sheets: dict[str, list[list[Any]]] = {
        "a": [["t_s", "v"], [0, 1], [1, 2]],
        "b": [["t_s", "v"], [0, 5], [1, 6]],
    }
    with pytest.raises(LogError, match="'a', 'b'"):
        made(tmp_path, sheets)
    assert samples_of(made(tmp_path, sheets, sheet="b"))["v"] == [5, 6]
    with pytest.raises(LogError, match="no sheet 'c'"):
        made(tmp_path, sheets, sheet="c")


def test_damage_is_one_error(tmp_path: Path) -> None:
    """A cut file, another packed file and a file that lies about itself are one error each."""
    made(tmp_path, {"run": [["t_s", "v"], [0, 1]]})
    path = tmp_path / "a.xlsx"
    whole = path.read_bytes()
    path.write_bytes(whole[: len(whole) // 2])
    with pytest.raises(LogError) as caught:
        read_log(path, file="a.xlsx")
    assert caught.value.code == "damaged-log"
    for names, code in ((["x.txt"], "unknown-layout"), (["xl/workbook.xml"], "damaged-log")):
        with zipfile.ZipFile(path, "w") as packed:
            for name in names:
                packed.writestr(name, "<broken")
        with pytest.raises(LogError) as caught:
            read_log(path, file="a.xlsx")
        assert caught.value.code == code


def packed(folder: Path, change: Callable[[bytes], bytes], more: Mapping[str, bytes] = {}) -> Path:
    """Write a workbook of twenty rows with its sheet's XML (ISO/IEC 29500-1, 18.3) changed."""
    made(folder, {"run": [["t_s", "a_N"], *[[n / 10, n] for n in range(20)]]})
    with zipfile.ZipFile(folder / "a.xlsx") as whole:
        parts = {name: whole.read(name) for name in whole.namelist()}
    parts["xl/worksheets/sheet1.xml"] = change(parts["xl/worksheets/sheet1.xml"])
    with zipfile.ZipFile(folder / "b.xlsx", "w", zipfile.ZIP_DEFLATED) as changed:
        for name, content in {**parts, **more}.items():
            changed.writestr(name, content)
    return folder / "b.xlsx"


def rows(count: int, row: str) -> Callable[[bytes], bytes]:
    more = "".join(row.replace("#", str(number)) for number in range(22, 22 + count)).encode()
    return lambda xml: xml.replace(b"</sheetData>", more + b"</sheetData>")


def replaced(old: bytes, new: bytes) -> Callable[[bytes], bytes]:
    return lambda xml: xml.replace(old, new, 1)


_LAUGHS = "".join(f'<!ENTITY e{n} "{f"&e{n - 1};" * 20}">' for n in range(1, 9))
BOMBS: dict[str, tuple[Callable[[bytes], bytes], str]] = {
    "spaces": (lambda xml: xml + b" " * 30_000_000, "log-too-large"),
    "wide rows": (rows(2000, '<row r="#"><c r="XFD#"><v>3</v></c></row>'), "log-too-large"),
    "a far row": (rows(1, '<row r="999999999"><c><v>3</v></c></row>'), "log-too-large"),
    "a far row of those there are": (
        rows(1, '<row r="1048576"><c><v>3</v></c></row>'),
        "log-too-large",
    ),
    "entities in each other": (
        lambda xml: xml.replace(
            b"<worksheet", f'<!DOCTYPE x [<!ENTITY e0 "ha">{_LAUGHS}]><worksheet'.encode(), 1
        ).replace(b"<v>1</v>", b"<v>&e8;</v>"),
        "damaged-log",
    ),
    "an entity that is a file": (
        lambda xml: xml.replace(
            b"<worksheet", b'<!DOCTYPE x [<!ENTITY f SYSTEM "file:///etc/hostname">]><worksheet', 1
        ).replace(b"<v>1</v>", b"<v>&f;</v>"),
        "damaged-log",
    ),
}


@pytest.mark.parametrize("bomb", BOMBS)
def test_a_workbook_made_to_fill_the_memory_is_refused(tmp_path: Path, bomb: str) -> None:
    """A few kilobytes that unpack to far more, in one way or another, are one clear error."""
    change, code = BOMBS[bomb]
    path = packed(tmp_path, change)
    assert path.stat().st_size < 300_000
    with pytest.raises(LogError) as caught:
        read_log(path, file="b.xlsx")
    assert caught.value.code == code


def test_a_workbook_of_thousands_of_parts_is_refused(tmp_path: Path) -> None:
    """As many files in one as no spreadsheet has."""
    path = packed(tmp_path, lambda xml: xml, {f"x/{n}": b"" for n in range(6000)})
    with pytest.raises(LogError, match="parts"):
        read_log(path, file="b.xlsx")


def test_a_sheet_counts_as_it_is_and_not_as_it_says(tmp_path: Path) -> None:
    """Some writers declare less than there is (18.3.1.35, dimension); a stranger, anything."""
    for said in (b"A1:XFD1048576", b"A1", b"A1:B3"):
        path = packed(tmp_path, replaced(b"A1:B21", said))
        assert len(samples_of(read_log(path, file="b.xlsx"))["a_N"]) == 20


def test_formulas_count_by_what_was_stored_with_them(tmp_path: Path) -> None:
    """Nothing is computed: a formula without a stored value is an empty cell."""
    for formula, value in (("<f>1+1</f><v>7</v>", 7.0), ("<f>cmd|'/C calc'!A1</f>", None)):
        path = packed(tmp_path, replaced(b"<v>1</v>", formula.encode()))
        assert samples_of(read_log(path, file="b.xlsx"))["a_N"][1] == value
