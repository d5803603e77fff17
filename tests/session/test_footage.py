"""Camera files declared in session.toml."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from overlays.errors import Problems
from overlays.session.reader import read_session

MINI = Path(__file__).resolve().parent.parent / "data" / "sessions" / "mini"
GOOD = {"file": "footage/a.mp4", "run": "brook open 1", "starts": "2.48 s"}


def _problems(folder: Path, **changed: str) -> Problems:
    shutil.copytree(MINI, folder)
    (folder / "footage").mkdir()
    (folder / "footage" / "a.mp4").touch()
    table = "".join(f'{key} = "{text}"\n' for key, text in {**GOOD, **changed}.items())
    with (folder / "session.toml").open("a", encoding="utf-8") as out:
        out.write(f"\n[[footage]]\n{table}")
    problems = Problems()
    session = read_session(folder, problems)
    if not problems.errors:
        assert session is not None
        assert session.spec.footage[0].starts.to("s") == pytest.approx(2.48)
    return problems


def test_what_sync_prints_is_read(tmp_path: Path) -> None:
    """A file inside the session, a run, and a time."""
    assert _problems(tmp_path / "s").found == []


@pytest.mark.parametrize(
    ("changed", "code", "level"),
    [
        ({"file": "../a.mp4"}, "path-leaves-session", "error"),
        ({"file": "/etc/passwd"}, "bad-path", "error"),
        ({"file": "footage/b.mp4"}, "no-footage", "warning"),
        ({"run": "brook open 9"}, "unknown-run", "error"),
        ({"starts": "2.48"}, "not-a-time", "error"),
        ({"starts": "-1 s"}, "bad-start", "error"),
        ({"begins": "1 s"}, "unknown-key", "error"),
    ],
)
def test_each_fault_is_one_problem_with_its_line(
    tmp_path: Path, changed: dict[str, str], code: str, level: str
) -> None:
    """Files that leave the session, runs that are not there, times that are none."""
    found = _problems(tmp_path / "s", **changed).found
    assert [(problem.code, problem.level) for problem in found] == [(code, level)]
    assert found[0].line is not None
    assert found[0].line > 90
