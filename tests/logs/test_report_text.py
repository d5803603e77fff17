"""What the reader makes of a log, for people."""

from __future__ import annotations

from pathlib import Path

from overlays.logs.reader import read_log
from overlays.logs.report_text import log_text

LOG = "t_s;druck_pa\n0,0;1,5\n0,1;---\n0,2;2,5\n"


def test_everything_assumed_is_told_in_lines(tmp_path: Path) -> None:
    """Layout, columns with their range, and notes stand one a line; samples on request."""
    file = tmp_path / "a.csv"
    file.write_text(LOG, encoding="utf-8")
    log = read_log(file, file="logs/a.csv")
    text = log_text(log, samples=False)
    assert text.startswith("logs/a.csv: delimited\n")
    assert "delimiter: ';'" in text
    assert "column druck_pa [Pa]: 2 values, 1.5 to 2.5, mean 2" in text
    assert "note: decimal comma" in text
    rows = log_text(log, samples=True).splitlines()[-3:]
    assert rows[1] == "0.1\t\t0.1"


def test_control_characters_of_a_log_do_not_reach_the_terminal(tmp_path: Path) -> None:
    """Names and notes are cleaned; the layout of the text is not."""
    file = tmp_path / "a.csv"
    file.write_text("t_s,a\x1b[31mb\n0,1\n1,2\n", encoding="utf-8")
    text = log_text(read_log(file, file="a.csv"), samples=True)
    assert "\x1b" not in text
