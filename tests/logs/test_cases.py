"""The small hard logs under data/cases: what is wrong with each, and its right outcome."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from overlays.errors import LogError
from overlays.logs.reader import read_log
from overlays.logs.report import log_report
from overlays.model.trace import Log

from .made import notes_of, samples_of

FOLDER = Path(__file__).parents[1] / "data" / "cases"


@dataclass(frozen=True)
class Case:
    id: str
    file: str
    wrong: str
    right: str
    expected: dict[str, Any]
    source: str


CASES = {case["id"]: Case(**case) for case in json.loads((FOLDER / "logs.json").read_text("utf-8"))}


def read(case: Case) -> Log:
    return read_log(FOLDER / case.file, file=case.file)


def noted_lines(log: Log, words: str) -> list[int | None]:
    return [note.line for note in log.notes if words in note.message]


def test_mark_before_a_quoted_header() -> None:
    """A byte-order mark and quotes do not get into the names."""
    case = CASES["H01"]
    report = log_report(read(case), samples=False)
    assert [column["name"] for column in report["columns"]] == case.expected["columns"]
    assert report["columns"][1]["n"] == case.expected["rows"]
    assert report["columns"][1]["mean"] == case.expected["mean_temp_c"]


def test_decimal_comma_with_thousands() -> None:
    """Semicolon, decimal comma and grouping point are told apart."""
    case = CASES["H02"]
    samples = samples_of(read(case))
    assert samples["druck_pa"] == case.expected["druck_pa"]
    assert samples["zeit_s"] == case.expected["zeit_s"]


def test_preamble_names_units_and_a_blank_row() -> None:
    """The header is found below a preamble, the units in the row under it."""
    case = CASES["H04"]
    log = read(case)
    assert log.header_line == case.expected["header_line"]
    columns = (log.time, *log.columns)
    assert {column.name: column.unit for column in columns} == case.expected["units"]
    rows = [[column.values[i] for column in columns] for i in (0, -1)]
    assert rows == [case.expected["first"], case.expected["last"]]
    assert len(log.time_s) == case.expected["rows"]


def test_header_again_in_the_middle() -> None:
    """A logger that restarted repeats its header, which is reported and begins a segment."""
    case = CASES["H05"]
    log = read(case)
    assert noted_lines(log, "repeats the header") == [case.expected["repeat_line"]]
    (level,) = log.columns
    assert (level.values.sum(), level.values[-1]) == (case.expected["sum"], case.expected["last"])
    assert [(s.first_line, s.n) for s in log.segments] == [(2, 3), (6, 3)]


def test_rows_that_end_in_a_delimiter() -> None:
    """An extra delimiter at the end of rows does not shift the columns."""
    case = CASES["H06"]
    samples = samples_of(read(case))
    assert {name: samples[name] for name in case.expected} == case.expected
    assert set(samples) == {*case.expected, "elapsed_s"}


def test_block_of_nul_bytes() -> None:
    """A line of NUL bytes is named and left out; nothing becomes 0."""
    case = CASES["H08"]
    log = read(case)
    assert noted_lines(log, "NUL bytes") == [case.expected["nul_line"]]
    assert samples_of(log)["time_s"] == case.expected["t"]
    assert samples_of(log)["mm"] == case.expected["mm"]


def test_utf_16_with_tabs() -> None:
    """UTF-16 with a mark, tabs and decimal commas is read."""
    case = CASES["H09"]
    log = read(case)
    assert [log.time.name, log.columns[0].name] == case.expected["columns"]
    assert log.columns[0].values.tolist() == case.expected["values"]
    assert (log.encoding, log.delimiter, log.decimal) == ("utf-16-le", "\t", ",")


def test_time_of_day_past_midnight() -> None:
    """Time of day goes on over midnight."""
    case = CASES["H10"]
    assert samples_of(read(case))["elapsed_s"] == case.expected["elapsed_s"]


def test_spreadsheet_days_are_rounded() -> None:
    """Days cut off at ten decimals are rounded to the millisecond, not cut."""
    case = CASES["H11"]
    assert samples_of(read(case))["stamp"] == case.expected["iso"]


def test_day_and_month_decided_by_a_later_row() -> None:
    """One order of day and month holds for the whole file."""
    case = CASES["H12"]
    samples = samples_of(read(case))
    assert [str(stamp)[:10] for stamp in samples["date"]] == case.expected["iso"]
    assert samples["elapsed_s"] == [0, 86400, 172800, 259200]


def test_duplicate_and_backward_stamps() -> None:
    """Both are reported with their lines and the step, and the rule is stated."""
    case = CASES["H14"]
    log = read(case)
    assert noted_lines(log, "same stamp") == case.expected["duplicate_lines"]
    assert noted_lines(log, "goes back to") == case.expected["backward_lines"]
    assert f"a step of {case.expected['backward_step']} s" in notes_of(log)
    assert "nothing is sorted" in notes_of(log)
    assert samples_of(log)["v"] == [1, 2, 4, 6]


def test_slow_channel_beside_a_fast_one() -> None:
    """Blanks of a slower channel are no gaps, and no zeros."""
    case = CASES["H17"]
    log = read(case)
    fast, slow = log.columns
    assert slow.rows is not None
    assert len(slow.rows) == case.expected["slow_samples"]
    assert fast.rows is None
    assert log_report(log, samples=False)["columns"][2]["min"] == case.expected["slow_min"]


def test_empty_file() -> None:
    """A file of no bytes is one clear error."""
    with pytest.raises(LogError, match="file is empty") as caught:
        read(CASES["H18"])
    assert caught.value.file == "csv_empty.csv"


def test_header_without_rows() -> None:
    """A header alone is one clear error that names the columns."""
    with pytest.raises(LogError, match="no data rows") as caught:
        read(CASES["H19"])
    assert all(name in caught.value.message for name in CASES["H19"].expected["columns"])


def test_gaps_of_three_kinds() -> None:
    """A blank, NaN and dashes are gaps, and a lone sample stays."""
    case = CASES["H20"]
    report = log_report(read(case), samples=True)
    temp = report["columns"][1]
    assert (temp["min"], temp["max"]) == (case.expected["min"], case.expected["max"])
    assert report["samples"]["temp"].count(None) == case.expected["missing"]
    assert report["samples"]["temp"][-1] == case.expected["end_label"][1]


def test_zero_and_negative_values_are_values() -> None:
    """What a logarithmic axis cannot show is still read."""
    assert samples_of(read(CASES["H21"]))["count"] == [100, 10, 1, 0, -1, 0.1, 1]


def test_uneven_samples_in_milliseconds() -> None:
    """A time in milliseconds becomes seconds, at its own uneven steps."""
    assert samples_of(read(CASES["H34"]))["elapsed_s"] == [0, 0.04, 0.095, 0.15, 0.26]


def test_file_name_of_all_alphabets() -> None:
    """A name with spaces, an umlaut, a dash and CJK opens, and is told as it is."""
    case = CASES["H50"]
    log = read(case)
    assert log.file == case.file
    assert log.columns[0].values.tolist()[-1] == case.expected["max"]
    assert len(log.time_s) == case.expected["rows"]
