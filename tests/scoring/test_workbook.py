"""Tables as a spreadsheet."""

from __future__ import annotations

from pathlib import Path

import pytest
from openpyxl import load_workbook

from overlays.errors import WorkError
from overlays.scoring.layout import Table
from overlays.scoring.workbook import write_workbook

TABLE = Table(
    ("entry", "score", "rank"),
    (False, True, True),
    (("=Ash", "60.50", "1"), ("Birch", "–", "–"), ("-5", "-2.0", "2")),
)


def test_numbers_are_numbers_and_text_is_text(tmp_path: Path) -> None:
    """openpyxl reads numbers with their decimals, and a name that looks like a formula as text."""
    target = tmp_path / "standings.xlsx"
    write_workbook(target, {"Standings": TABLE, "a/b: [c]" * 5: TABLE})
    book = load_workbook(target)
    assert book.sheetnames[0] == "Standings"
    assert len(book.sheetnames[1]) <= 31
    sheet = book["Standings"]
    assert [cell.value for cell in sheet[1]] == ["entry", "score", "rank"]
    assert [cell.value for cell in sheet[2]] == ["=Ash", 60.5, 1]
    assert sheet["A2"].data_type == "s"
    assert sheet["B2"].number_format == "0.00"
    assert [cell.value for cell in sheet[3]] == ["Birch", "–", "–"]
    assert [cell.value for cell in sheet[4]] == ["-5", -2.0, 2]
    assert sheet.freeze_panes == "A2"


def test_another_ending_is_refused(tmp_path: Path) -> None:
    """A workbook is not written under a name that says something else."""
    with pytest.raises(WorkError) as caught:
        write_workbook(tmp_path / "standings.ods", {"a": TABLE})
    assert caught.value.code == "bad-workbook-name"
    assert list(tmp_path.iterdir()) == []
