"""The small session on a canvas a quarter as wide and high."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from overlays.model.clip import Clip
from tests.render.planning import edit, plan

MINI = Path(__file__).parents[1] / "data" / "sessions" / "mini"


@pytest.fixture
def session(tmp_path: Path) -> Path:
    """Copy the session to a folder of the test's own."""
    folder = tmp_path / "session"
    shutil.copytree(MINI, folder)
    edit(folder / "session.toml", "canvas = [1080, 1920]", "canvas = [270, 480]")
    return folder


@pytest.fixture(scope="session")
def small_clips(tmp_path_factory: pytest.TempPathFactory) -> tuple[Clip, ...]:
    """Return the session's clips, planned once."""
    folder = tmp_path_factory.mktemp("planned") / "session"
    shutil.copytree(MINI, folder)
    edit(folder / "session.toml", "canvas = [1080, 1920]", "canvas = [270, 480]")
    return plan(folder)
