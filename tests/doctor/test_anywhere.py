"""The program starts, looks and draws wherever it is put."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
MINI = ROOT / "tests" / "data" / "sessions" / "mini"
PLAIN = {"PATH": os.environ.get("PATH", ""), "SYSTEMROOT": os.environ.get("SYSTEMROOT", "")}

PLACES = {
    "no home": {},
    "a home that is not there": {"HOME": "/nonexistent/home"},
    "a home that cannot be written": {"HOME": "/proc"},
    "plain letters only": {
        "LC_ALL": "C",
        "PYTHONUTF8": "0",
        "PYTHONCOERCECLOCALE": "0",
        "PYTHONIOENCODING": "ascii",
    },
    "a narrow terminal": {"COLUMNS": "20", "TERM": "dumb"},
}


def run(*arguments: object, told: dict[str, str], cwd: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, str(ROOT / "render.py"), *map(str, arguments)],
        cwd=cwd,
        env=PLAIN | told,
        capture_output=True,
        encoding="utf-8",
        errors="replace",
        check=False,
        timeout=120,
    )


@pytest.mark.parametrize("place", PLACES)
def test_doctor_and_preview_work_anywhere(place: str, tmp_path: Path) -> None:
    """From a folder with spaces and letters, with no terminal: no traceback, and a picture."""
    folder = tmp_path / "bänk 2 – ε"
    folder.mkdir()
    done = run("doctor", "--format", "json", told=PLACES[place], cwd=folder)
    assert done.returncode == 0, done.stderr
    assert "missing" not in {one["state"] for one in json.loads(done.stdout)["machine"]}
    drawn = run("preview", MINI, "--at", "1 s", "--out", "a b.png", told=PLACES[place], cwd=folder)
    assert drawn.returncode == 0, drawn.stderr
    assert "Traceback" not in done.stderr + drawn.stderr
    assert [path.name for path in folder.iterdir()] == ["a b.png"]
