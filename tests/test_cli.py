"""The command line as a new user meets it: results, exit codes, and one clear error at a time."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parent.parent
DEMO = ROOT / "demo_sessions" / "brake_bench"
MINI = ROOT / "tests" / "data" / "sessions" / "mini"


def run(*arguments: object, cwd: Path = ROOT) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, str(ROOT / "render.py"), *map(str, arguments)],
        cwd=cwd,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=False,
        timeout=300,
    )


def document(*arguments: object) -> Any:
    done = run(*arguments, "--format", "json")
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


@pytest.fixture
def broken(tmp_path: Path) -> Callable[[Callable[[Path], None]], Path]:
    """Return a copy of the mini session with one thing broken in it."""

    def make(damage: Callable[[Path], None]) -> Path:
        copy = tmp_path / "session"
        shutil.copytree(MINI, copy)
        damage(copy)
        return copy

    return make


def edit(file: str, pattern: str, replacement: str) -> Callable[[Path], None]:
    def damage(session: Path) -> None:
        path = session / file
        text = path.read_text(encoding="utf-8")
        changed, count = re.subn(pattern, replacement, text, count=1, flags=re.MULTILINE)
        assert count == 1, f"{pattern} not found in {file}"
        path.write_text(changed, encoding="utf-8")

    return damage


def test_check_finds_no_error_in_the_demo() -> None:
    """The demo session is in order, and `check` says so with exit code 0."""
    found = document("check", DEMO)["problems"]
    assert [p for p in found if p["level"] == "error"] == []


def test_figures_carry_every_field_of_the_contract() -> None:
    """Each figure names its value, unit, repeats, median repeat, spread and count."""
    rows = document("figures", DEMO)["figures"]
    keys = {"figure", "entry", "test", "value", "unit", "shown", "repeats"}
    keys |= {"median_repeat", "spread", "n"}
    assert rows
    assert all(keys <= row.keys() for row in rows)
    main = [row for row in rows if row["figure"] == "cold_mean"]
    assert len(main) == 4
    assert all(row["value"] == sorted(row["repeats"])[1] for row in main)


def test_standings_add_up_to_what_is_shown() -> None:
    """A score is the sum of the points as shown, and ranks follow the scores."""
    rows = document("standings", DEMO, "--season")["standings"]
    assert len(rows) >= 11
    for row in rows:
        if row["score"] is not None:
            parts = [p for p in row["points"].values() if p is not None]
            assert round(sum(parts), 6) == row["score"]
    scores = [row["score"] for row in rows if row["score"] is not None]
    assert scores == sorted(scores, reverse=True)
    assert rows[0]["rank"] == 1


def test_wrong_usage_leaves_with_two() -> None:
    """A command that does not exist, or lacks its argument, is wrong usage."""
    assert run("no-such-command").returncode == 2
    assert run("clip", MINI).returncode == 2


@pytest.mark.parametrize(
    "arguments",
    [
        ["record", "--figure", "flow"],
        ["standings", "--explain", "weir", "--as-of", "1"],
        ["standings", "--explain", "weir", "--format", "json"],
        ["standings", "--out", "a.xlsx", "--format", "csv"],
    ],
    ids=["figure", "as-of", "json", "spreadsheet"],
)
def test_an_option_that_would_be_passed_over_is_wrong_usage(
    tmp_path: Path, arguments: list[str]
) -> None:
    """Whoever gives it expects something of it: nothing is answered or written instead."""
    copy = tmp_path / "session"
    shutil.copytree(MINI, copy)
    before = sorted(tmp_path.rglob("*"))
    done = run(arguments[0], copy, *arguments[1:], cwd=tmp_path)
    assert (done.returncode, done.stdout) == (2, "")
    assert arguments[1] in done.stderr or arguments[3] in done.stderr
    assert sorted(tmp_path.rglob("*")) == before


@pytest.mark.parametrize(("command", "name"), [("clip", "a.mp4"), ("episode", "a")])
def test_a_codec_without_alpha_is_refused(tmp_path: Path, command: str, name: str) -> None:
    """One clear error names the codecs that carry alpha; nothing is written."""
    cue = ["weir-card"] if command == "clip" else []
    result = run(command, MINI, *cue, "--codec", "h264", "--out", tmp_path / name)
    assert result.returncode == 1
    assert len(re.findall(r"\berror:", result.stderr)) == 1
    assert "Choose one of prores4444, vp9" in result.stderr
    assert "Traceback" not in result.stderr
    assert list(tmp_path.iterdir()) == []


def test_every_command_takes_help() -> None:
    """`--help` works for the program and for each command it lists."""
    listed = run("--help")
    assert listed.returncode == 0
    from typer.main import get_command

    from overlays.cli import app

    names = list(vars(get_command(app))["commands"])
    assert {"check", "figures", "standings", "preview", "clip", "episode"} <= set(names)
    for name in names:
        assert name in listed.stdout
        assert run(name, "--help").returncode == 0


@pytest.mark.parametrize(
    ("damage", "says"),
    [
        (
            edit("outline.md", r"^entry = .*$", r'entry = "lantrn"'),
            ["outline.md:", "lantrn"],
        ),
        (edit("outline.md", r"\{", "{no_such "), ["outline.md:", "no_such"]),
        (edit("session.toml", r"^repeats = \d+", 'repeats = "two"'), ["session.toml:", "repeats"]),
        (edit("session.toml", r"^take = ", "tkae = "), ["session.toml:", "take"]),
        (edit("session.toml", r"^\[episode\]", "[episode"), ["session.toml:"]),
    ],
    ids=["entry-misspelt", "figure-unknown", "not-a-number", "key-misspelt", "toml"],
)
def test_one_clear_error_and_nothing_written(
    broken: Callable[[Callable[[Path], None]], Path],
    tmp_path: Path,
    damage: Callable[[Path], None],
    says: list[str],
) -> None:
    """A broken session gives an error with file and place, exit code 1, and no output at all."""
    session = broken(damage)
    out = tmp_path / "out"
    done = run("episode", session, "--out", out)
    assert done.returncode == 1
    assert "Traceback" not in done.stderr
    for words in says:
        assert words in done.stderr, done.stderr
    errors = [line for line in done.stderr.splitlines() if ": error: " in line]
    assert len(errors) == 1, done.stderr
    assert not out.exists() or not any(path.is_file() for path in out.rglob("*"))


def test_a_missing_log_is_told_with_the_line_that_names_it(tmp_path: Path) -> None:
    """A run whose log is gone is one error, with the line of runs.csv, and nothing is rendered."""
    session = tmp_path / "session"
    shutil.copytree(DEMO, session)
    (session / "logs" / "basalt_wet_2.csv").unlink()
    done = run("episode", session, "--out", tmp_path / "out")
    assert done.returncode == 1
    assert re.search(r"^runs\.csv:\d+: error: .*basalt_wet_2\.csv", done.stderr, re.MULTILINE)
    assert done.stderr.count(": error: ") == 1
    assert not (tmp_path / "out").exists()


def test_broken_number_in_a_log_is_told_with_its_line(
    broken: Callable[[Callable[[Path], None]], Path],
) -> None:
    """A cell that is no number is reported with file and line, never read as zero."""

    def damage(session: Path) -> None:
        log = min((session / "logs").iterdir())
        lines = log.read_text(encoding="utf-8").splitlines()
        cells = lines[len(lines) // 2].split(";")
        cells[-1] = "12,x4"
        lines[len(lines) // 2] = ";".join(cells)
        log.write_text("\n".join(lines) + "\n", encoding="utf-8")

    done = run("check", broken(damage))
    assert done.returncode == 1
    assert re.search(r"logs/[^:]+:\d+: error: ", done.stdout), done.stdout
