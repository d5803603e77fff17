from __future__ import annotations

import datetime as dt
import zipfile
from collections.abc import Mapping, Sequence
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


def test_what_unpacks_to_too_much_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A file that would fill the memory is refused before it is unpacked."""
    monkeypatch.setattr("overlays.logs.spreadsheet._LARGEST", 100)
    with pytest.raises(LogError, match="unpacks to"):
        made(tmp_path, {"run": [["t_s", "v"], [0, 1]]})
