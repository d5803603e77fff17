"""A session folder, from logs to standings."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from overlays.errors import Problems
from overlays.model.result import Results
from overlays.scoring.results import work_out
from overlays.session.reader import read_session

REPOSITORY = Path(__file__).parents[2]
MINI = REPOSITORY / "tests" / "data" / "sessions" / "mini"
TRACES = REPOSITORY / "tests" / "data" / "traces"


def opened(folder: Path, problems: Problems) -> Results:
    session = read_session(folder, problems)
    assert session is not None
    return work_out(session, problems)


def test_a_session_is_worked_out_to_the_end() -> None:
    """The small session gives every figure of both entries, points that add up, and two ranks."""
    problems = Problems()
    told: list[tuple[int, int, str]] = []
    session = read_session(MINI, problems)
    assert session is not None
    found = work_out(session, problems, lambda done, total, what: told.append((done, total, what)))
    assert not problems.errors
    assert all(figure.value is not None for figure in found.figures.values())
    assert {standing.row.rank for standing in found.standings} == {1, 2}
    assert told[-1] == (8, 8, "runs")


def test_a_damaged_log_leaves_the_others_standing(tmp_path: Path) -> None:
    """One error for the log; the entry's other repeats still give its figure."""
    folder = tmp_path / "mini"
    shutil.copytree(MINI, folder)
    (folder / "logs" / "brook_open_1.csv").write_bytes(b"")
    problems = Problems()
    found = opened(folder, problems)
    (error,) = problems.errors
    assert error.file == "logs/brook_open_1.csv"
    figure = found.figures["settled", "brook"]
    assert figure.value is not None
    assert figure.n == 1


CERTIFIED = """\
[episode]
title = "Certified records"
date = 2026-01-01
rate = "25"

[entries.item_a]
name = "Item A"

[entries.item_b]
name = "Item B"

[channels.force]
label = "force"
column = "force_N"
unit = "N"

[tests.burn]
label = "Burn"
length = "2 s"
repeats = 1
channels = ["force"]
main = "impulse"

[figures.impulse]
label = "impulse"
take = "impulse"
test = "burn"
places = 2

[figures.peak]
label = "peak"
take = "peak"
test = "burn"
places = 2
"""


@pytest.mark.parametrize(
    ("entry", "impulse", "peak", "tolerance"),
    [("item_a", 76.83, 79.59, 1e-4), ("item_b", 33.56, 49.3, 1e-2)],
)
def test_a_session_of_certified_records(
    tmp_path: Path, entry: str, impulse: float, peak: float, tolerance: float
) -> None:
    """Published impulse and peak come out of logs read from disk (see data/traces/README.md)."""
    (tmp_path / "logs").mkdir()
    (tmp_path / "session.toml").write_text(CERTIFIED, encoding="utf-8")
    (tmp_path / "runs.csv").write_text(
        "entry,test,repeat,file\nitem_a,burn,1,logs/A.csv\nitem_b,burn,1,logs/B.csv\n",
        encoding="utf-8",
    )
    for name in ("A", "B"):
        record = (TRACES / f"item_{name}_thrust.csv").read_text(encoding="utf-8")
        # The records leave out their first point, which is the origin.
        header, _, samples = record.partition("\n")
        log = f"{header}\n0,0\n{samples}"
        (tmp_path / "logs" / f"{name}.csv").write_text(log, encoding="utf-8")
    problems = Problems()
    found = opened(tmp_path, problems)
    assert not problems.errors, problems.errors
    assert found.figures["impulse", entry].value == pytest.approx(impulse, rel=tolerance)
    assert found.figures["peak", entry].value == pytest.approx(peak, rel=tolerance)
