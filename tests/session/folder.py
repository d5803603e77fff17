"""Builds small session folders to be read, broken and read again."""

from __future__ import annotations

from pathlib import Path

from overlays.errors import Problem, Problems
from overlays.model.session import Session
from overlays.session.reader import read_session

__all__ = ["LOG", "RUNS", "TOML", "found_in", "read", "write"]

TOML = """\
[episode]
title = "Two clamps"
date = 2026-02-03
rate = "25"

[entries.ash]
name = "Ash"
attributes = { price = "12.00 EUR", claimed = "90 N" }

[entries.birch]
name = "Birch"
attributes = { price = "20.00 EUR", claimed = "110 N" }

[channels.force]
label = "force"
column = "F"
unit = "N"

[channels.travel]
label = "travel"
column = "x"
unit = "mm"

[tests.hold]
label = "Hold"
length = "4 s"
repeats = 2
channels = ["force", "travel"]
main = "held"
trigger = { channel = "force", level = "5 N", rearm = "2 N" }

[figures.held]
label = "held"
take = "mean"
test = "hold"
channel = "force"
start = "1 s"
end = "3 s"

[figures.per_price]
label = "per price"
take = "ratio"
of = "held"
by = "price"

[points.held]
figure = "held"
most = 60
"""
RUNS = """\
entry,test,repeat,file,note,use
ash,hold,1,logs/a1.csv,,yes
ash,hold,2,logs/a2.csv,slipped,no
birch,hold,1,logs/b1.csv,,
"""
LOG = "t,F,x\n0,0,0\n1,10,1\n2,20,2\n"


def write(folder: Path, *, toml: str = TOML, runs: str | None = RUNS) -> Path:
    """Write a session folder and return it."""
    (folder / "logs").mkdir(parents=True, exist_ok=True)
    (folder / "session.toml").write_text(toml, encoding="utf-8")
    if runs is not None:
        (folder / "runs.csv").write_text(runs, encoding="utf-8")
    for name in ("a1", "a2", "b1"):
        (folder / "logs" / f"{name}.csv").write_text(LOG, encoding="utf-8")
    return folder


def read(folder: Path) -> Session:
    """Read a session that has no problem."""
    problems = Problems()
    session = read_session(folder, problems)
    assert session is not None
    assert [str(problem) for problem in problems.found] == []
    return session


def found_in(folder: Path) -> list[Problem]:
    """Return what reading a session finds."""
    problems = Problems()
    read_session(folder, problems)
    return problems.found
