from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from overlays.errors import LogError
from overlays.logs.gather import gather_rows
from overlays.logs.notes import NoteBook
from overlays.logs.reader import read_log
from overlays.logs.rowplan import RowPlan
from overlays.logs.source import TextLines

PLAN = RowPlan("\t", ".", 2, (0, 1), (), 0, ("t", "v"), (("t", "v"),))


def test_lines_of_rows() -> None:
    """Every row knows its line, across headers, blanks and damage."""
    lines = ("a log", "t\tv", "0\t1", "", "1\t2", "t\tv", "2\t3", "bad", "3\t4")
    rows = gather_rows(TextLines("a", lines), PLAN, 3, NoteBook())
    assert rows.numbers[1].tolist() == [1, 2, 3, 4]
    assert [rows.line_of(row) for row in range(rows.n)] == [3, 5, 7, 9]
    assert rows.breaks == [2]


def test_changed_header_is_an_error() -> None:
    """Columns that change their meaning half way are refused, with the line."""
    lines = ("t\tv", "0\t1", "v\tt", "2\t3")
    with pytest.raises(LogError, match="other columns") as caught:
        gather_rows(TextLines("a", lines), PLAN, 2, NoteBook())
    assert caught.value.line == 3


def test_large_log_with_damage(tmp_path: Path) -> None:
    """A log of several blocks comes out whole, damage and line numbers included."""
    n = 600_000
    values = np.round(np.sin(np.arange(n) / 1000), 6)
    lines = [f"{i / 1000:.3f},{v:.6f}" for i, v in enumerate(values)]
    lines[400_000] = "\0" * 20
    lines[500_001] = "500.001,ERR"
    path = tmp_path / "a.csv"
    path.write_text("\n".join(["t_s,v", *lines, ""]))
    log = read_log(path, file="a.csv")
    expected = np.delete(values, 400_000)
    expected[500_000] = np.nan
    np.testing.assert_array_equal(log.columns[0].values, expected)
    told = {note.line: note.message for note in log.notes if note.line and note.line > 2}
    assert "NUL bytes" in told[400_002]
    assert "'ERR'" in told[500_003]
