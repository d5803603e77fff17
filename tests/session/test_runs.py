"""runs.csv and file-name patterns."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.session.folder import LOG, RUNS, TOML, found_in, read, write

PATTERN = TOML.replace('main = "held"', 'main = "held"\nfiles = "logs/{entry}_{test}_{repeat}.csv"')

# What is replaced, by what, and the code and line of the one problem that follows.
FAULTS = [
    ("birch,hold", "brich,hold", "unknown-entry", 4),
    ("birch,hold", "birch,holt", "unknown-test", 4),
    ("birch,hold,1", "birch,hold,one", "bad-repeat", 4),
    ("birch,hold,1", "birch,hold,0", "bad-repeat", 4),
    ("logs/b1.csv", "logs/b9.csv", "missing-log", 4),
    ("logs/b1.csv", "logs", "missing-log", 4),
    ("logs/b1.csv", "logs/a1.csv", "log-twice", 4),
    ("logs/b1.csv", "../b1.csv", "path-leaves-session", 4),
    ("logs/b1.csv", "/etc/passwd", "bad-path", 4),
    ("logs/b1.csv", "C:/b1.csv", "bad-path", 4),
    ("logs/b1.csv", "logs\\b1.csv", "bad-path", 4),
    ("birch,hold,1,logs/b1.csv", "ash,hold,1,logs/b1.csv", "repeat-twice", 4),
    ("slipped,no", "slipped,perhaps", "bad-use", 3),
    ("slipped,no", "slipped, badly,no,", "too-many-values", 3),
    ("slipped,no", '"slipped,no', "bad-csv", 3),
    ("entry,test,repeat,file", "entry,test,repeat,log", "missing-column", 1),
    ("note,use", "note,used", "unknown-column", 1),
]


@pytest.mark.parametrize(("old", "new", "code", "line"), FAULTS)
def test_each_fault_is_one_problem_with_its_line(
    tmp_path: Path, old: str, new: str, code: str, line: int
) -> None:
    """A single slip in runs.csv gives a single error with its line."""
    assert old in RUNS
    found = found_in(write(tmp_path, runs=RUNS.replace(old, new, 1)))
    assert [(problem.code, problem.file, problem.line) for problem in found] == [
        (code, "runs.csv", line)
    ]


def test_a_run_left_out_wants_a_reason(tmp_path: Path) -> None:
    """A run left out without a note is a warning; it is read all the same."""
    found = found_in(write(tmp_path, runs=RUNS.replace("slipped,no", ",no")))
    assert [(problem.level, problem.code) for problem in found] == [
        ("warning", "left-out-without-reason")
    ]


def test_a_run_may_be_run_again(tmp_path: Path) -> None:
    """A repeat number may stand twice when all but one of them are left out."""
    runs = RUNS.replace("birch,hold,1,logs/b1.csv,,", "ash,hold,2,logs/b1.csv,again,yes")
    session = read(write(tmp_path, runs=runs))
    assert [(ref.repeat, ref.use) for ref in session.runs] == [(1, True), (2, False), (2, True)]


@pytest.mark.parametrize("delimiter", [",", ";"])
@pytest.mark.parametrize("line_end", ["\n", "\r\n"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_spreadsheets_save_it_their_way(
    tmp_path: Path, delimiter: str, line_end: str, mark: str
) -> None:
    """Semicolons, Windows line ends and a byte-order mark change nothing."""
    runs = mark + RUNS.replace(",", delimiter).replace("\n", line_end)
    folder = write(tmp_path, runs=None)
    (folder / "runs.csv").write_bytes(runs.encode())
    assert [ref.line for ref in read(folder).runs] == [2, 3, 4]


def test_an_empty_or_missing_list_is_told(tmp_path: Path) -> None:
    """No runs.csv and no pattern, or an empty runs.csv, is one error."""
    assert [p.code for p in found_in(write(tmp_path, runs=""))] == ["empty-file"]
    (tmp_path / "runs.csv").unlink()
    assert [p.code for p in found_in(tmp_path)] == ["no-runs"]


def test_a_link_out_of_the_session_is_refused(tmp_path: Path) -> None:
    """A log that is a link to somewhere else is not followed out of the session."""
    outside = tmp_path / "outside.csv"
    outside.write_text(LOG, encoding="utf-8")
    folder = write(tmp_path / "session")
    (folder / "logs" / "b1.csv").unlink()
    (folder / "logs" / "b1.csv").symlink_to(outside)
    assert [problem.code for problem in found_in(folder)] == ["path-leaves-session"]


def test_a_pattern_finds_runs_in_order(tmp_path: Path) -> None:
    """Without runs.csv, a test's pattern finds its runs, by entry and repeat."""
    folder = write(tmp_path, toml=PATTERN, runs=None)
    for name in ("birch_hold_2", "birch_hold_10", "ash_hold_01", "ash_other_1", "notes"):
        (folder / "logs" / f"{name}.csv").write_text(LOG, encoding="utf-8")
    assert [(ref.entry, ref.repeat, ref.file) for ref in read(folder).runs] == [
        ("ash", 1, "logs/ash_hold_01.csv"),
        ("birch", 2, "logs/birch_hold_2.csv"),
        ("birch", 10, "logs/birch_hold_10.csv"),
    ]


def test_a_file_of_an_unknown_entry_is_told(tmp_path: Path) -> None:
    """A misspelt entry in a file name is an error that names the file, not a run lost."""
    folder = write(tmp_path, toml=PATTERN, runs=None)
    for name in ("birhc_hold_2", "ash_hold_1"):
        (folder / "logs" / f"{name}.csv").write_text(LOG, encoding="utf-8")
    (problem,) = found_in(folder)
    assert (problem.code, problem.file) == ("unknown-entry", "logs/birhc_hold_2.csv")
    assert "birch" in problem.remedy


@pytest.mark.parametrize(
    ("pattern", "code"),
    [
        ("logs/{entry}.csv", "bad-pattern"),
        ("../{entry}_{repeat}.csv", "path-leaves-session"),
        ("logs/{entry}-{repeat}.txt", "missing-log"),
    ],
)
def test_a_pattern_that_cannot_work_is_told(tmp_path: Path, pattern: str, code: str) -> None:
    """A pattern needs entry and repeat, stays inside, and has to find something."""
    toml = PATTERN.replace("logs/{entry}_{test}_{repeat}.csv", pattern)
    assert [p.code for p in found_in(write(tmp_path, toml=toml, runs=None))] == [code]


def test_a_pattern_may_name_folders(tmp_path: Path) -> None:
    """A folder an entry is a common way to keep logs."""
    toml = PATTERN.replace("logs/{entry}_{test}_{repeat}.csv", "logs/{entry}/{test}{repeat}.csv")
    folder = write(tmp_path, toml=toml, runs=None)
    for entry in ("ash", "birch"):
        (folder / "logs" / entry).mkdir()
        (folder / "logs" / entry / "hold1.csv").write_text(LOG, encoding="utf-8")
    assert [ref.file for ref in read(folder).runs] == [
        "logs/ash/hold1.csv",
        "logs/birch/hold1.csv",
    ]


@pytest.mark.parametrize(
    "pattern",
    [
        "logs/{entry}{repeat}x",
        "logs/{entry}{entry}{repeat}{repeat}.csv",
        "{entry}/{entry}{repeat}/{repeat}.csv",
        "logs/((({entry}+)+)+)+{repeat}.*",
    ],
)
def test_no_name_takes_long_to_match(tmp_path: Path, pattern: str) -> None:
    """Names of nothing but digits could be shared out between the places in endless ways."""
    toml = PATTERN.replace("logs/{entry}_{test}_{repeat}.csv", pattern)
    folder = write(tmp_path, toml=toml, runs=None)
    deep = folder / "logs" / ("0" * 200) / ("0" * 200)
    deep.mkdir(parents=True)
    for number in range(300):
        (folder / "logs" / ("0" * 240 + f"{number}")).touch()
        (deep / ("0" * 240 + f"{number}")).touch()
    assert {problem.code for problem in found_in(folder)} <= {"missing-log", "unknown-entry"}


def test_a_folder_of_endless_files_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What has to be looked through, and what fits, is bounded."""
    folder = write(tmp_path, toml=PATTERN, runs=None)
    for number in range(1, 9):
        (folder / "logs" / f"ash_hold_{number}.csv").write_text(LOG, encoding="utf-8")
    monkeypatch.setattr("overlays.session.runs.MOST_RUNS", 7)
    assert [problem.code for problem in found_in(folder)] == ["too-many-runs"]
    monkeypatch.setattr("overlays.session.runs.MOST_FILES", 7)
    (problem,) = found_in(folder)
    assert (problem.code, problem.line is not None) == ("too-many-runs", True)
    assert "to look through" in problem.message
