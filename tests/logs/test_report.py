from __future__ import annotations

import json
from pathlib import Path

from overlays.logs.report import log_report

from .made import read_text


def test_keys_of_the_contract(tmp_path: Path) -> None:
    """The report has exactly the contract's keys, and is JSON without NaN."""
    log = read_text(tmp_path, "v,t_s,w\n1,0,\n,1,5\n3,2,7\n")
    report = json.loads(json.dumps(log_report(log, samples=True), allow_nan=False))
    assert list(report) == [
        "file", "layout", "encoding", "delimiter", "decimal", "header_line", "columns",
        "segments", "notes", "samples",
    ]  # fmt: skip
    assert report["columns"][0] == {
        "name": "v", "unit": None, "n": 2, "min": 1.0, "max": 3.0, "mean": 2.0,
    }  # fmt: skip
    assert [column["name"] for column in report["columns"]] == ["v", "t_s", "w"]
    assert report["segments"] == [{"first_line": 2, "n": 3, "seconds": 2.0}]
    assert set(report["notes"][0]) == {"line", "message"}
    assert report["samples"] == {
        "v": [1.0, None, 3.0], "t_s": [0.0, 1.0, 2.0], "w": [None, 5.0, 7.0],
        "elapsed_s": [0.0, 1.0, 2.0],
    }  # fmt: skip


def test_without_samples(tmp_path: Path) -> None:
    """Samples are given only when asked for."""
    assert "samples" not in log_report(read_text(tmp_path, "t_s,v\n0,1\n1,2\n"), samples=False)


def test_empty_column_has_no_statistics(tmp_path: Path) -> None:
    """Where there are no finite values there is no minimum, and no 0."""
    log = read_text(tmp_path, "t_s,v\n0,NaN\n1,---\n")
    column = log_report(log, samples=False)["columns"][1]
    assert (column["n"], column["min"], column["max"], column["mean"]) == (0, None, None, None)


def test_elapsed_from_the_start(tmp_path: Path) -> None:
    """Elapsed seconds begin at 0, without the dust of subtracting."""
    log = read_text(tmp_path, "t_s,v\n11.1,1\n11.2,2\n11.3,3\n")
    assert log_report(log, samples=True)["samples"]["elapsed_s"] == [0.0, 0.1, 0.2]


def test_dates_are_written_as_iso(tmp_path: Path) -> None:
    """A column of dates is written as ISO 8601; its statistics are in seconds."""
    log = read_text(tmp_path, "when,v\n2025-03-11 10:00:00,1\n2025-03-11 10:00:00.000001,2\n")
    report = log_report(log, samples=True)
    assert report["samples"]["when"][1] == "2025-03-11T10:00:00.000001"
    assert report["columns"][0]["unit"] == "s"


def test_uneven_sampling_is_told(tmp_path: Path) -> None:
    """How far apart the samples came stands among the notes; an even log has none of it."""
    log = read_text(tmp_path, "t_ms,v\n0,1\n2,1\n3.2,1\n6.6,1\n8.6,1\n10.6,1\n")
    messages = [note["message"] for note in log_report(log, samples=False)["notes"]]
    assert messages[-1] == "samples come 1.2 to 3.4 ms apart instead of 2.0 ms"
    even = log_report(read_text(tmp_path, "t_ms,v\n0,1\n2,1\n4,1\n6,1\n"), samples=False)
    assert not any("apart" in note["message"] for note in even["notes"])
