"""Planning: what a session declares beside its numbers is checked before anything is drawn."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from PIL import Image

from overlays.errors import Problem, Problems
from overlays.plan import open_episode, plan_episode

MINI = Path(__file__).parent / "data" / "sessions" / "mini"


@pytest.fixture
def session(tmp_path: Path) -> Path:
    """Copy the small session, each of its two entries with a picture."""
    folder = tmp_path / "session"
    shutil.copytree(MINI, folder)
    toml = (folder / "session.toml").read_text(encoding="utf-8")
    for entry in ("brook", "weir"):
        toml = toml.replace(f"[entries.{entry}]", f'[entries.{entry}]\npicture = "{entry}.png"')
        Image.new("RGB", (480, 320), (90, 140, 60)).save(folder / f"{entry}.png")
    (folder / "session.toml").write_text(toml, encoding="utf-8")
    return folder


def planned(session: Path) -> list[Problem]:
    problems = Problems()
    episode = open_episode(session, problems)
    assert episode is not None
    plan_episode(episode, problems, codec="png")
    return problems.found


def line_of(session: Path, picture: str) -> int:
    lines = (session / "session.toml").read_text(encoding="utf-8").splitlines()
    return lines.index(f'picture = "{picture}"') + 1


def test_pictures_that_can_be_read_are_no_problem(session: Path) -> None:
    """A sound picture, large enough, is not spoken of."""
    assert planned(session) == planned_without_pictures(session)


def planned_without_pictures(session: Path) -> list[Problem]:
    toml = (session / "session.toml").read_text(encoding="utf-8")
    for entry in ("brook", "weir"):
        toml = toml.replace(f'picture = "{entry}.png"', "#")
    (session / "session.toml").write_text(toml, encoding="utf-8")
    return planned(session)


def test_a_broken_picture_is_one_error_whoever_shows_it(session: Path) -> None:
    """Cut off, shown by a cue or by none: one error each, with the line it is declared on."""
    for entry in ("brook", "weir"):
        file = session / f"{entry}.png"
        file.write_bytes(file.read_bytes()[:200])
    errors = [problem for problem in planned(session) if problem.level == "error"]
    assert [(one.code, one.file, one.line) for one in errors] == [
        ("broken-picture", "session.toml", line_of(session, "brook.png")),
        ("broken-picture", "session.toml", line_of(session, "weir.png")),
    ]
    assert "'brook.png' is cut off" in errors[0].message


def test_a_small_picture_is_a_warning(session: Path) -> None:
    """A picture that would be shown smaller than its room is told, and does not stop anything."""
    Image.new("RGB", (40, 30), (90, 140, 60)).save(session / "brook.png")
    (told,) = [problem for problem in planned(session) if problem.code == "small-picture"]
    assert (told.level, told.line) == ("warning", line_of(session, "brook.png"))
