"""Small episodes to be interrupted, and what must hold of a folder afterwards."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

from tests.render.planning import edit

__all__ = ["CODEC", "ROOT", "contents", "environment", "episode_words", "small_session"]

ROOT = Path(__file__).parents[2]
MINI = ROOT / "tests" / "data" / "sessions" / "mini"
CODEC = "qtrle"


def small_session(folder: Path, *, canvas: str = "[135, 240]", rate: int = 25) -> Path:
    """Copy the small session, its canvas an eighth as wide and high."""
    shutil.copytree(MINI, folder)
    edit(folder / "session.toml", "canvas = [1080, 1920]", f"canvas = {canvas}")
    edit(folder / "session.toml", 'rate = "25"', f'rate = "{rate}"')
    return folder


def episode_words(session: Path, out: Path, *, workers: int = 1) -> list[str]:
    """Return the words of the command line that makes an episode."""
    return [
        "render.py", "episode", str(session), "--out", str(out),
        "--codec", CODEC, "--workers", str(workers),
    ]  # fmt: skip


def environment() -> dict[str, str]:
    """Return an environment in which the command finds this checkout, whatever is measured."""
    return {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONWARNINGS": "ignore"}


def contents(out: Path) -> dict[str, bytes]:
    """Return every file of a turnover by its path, those of our own bookkeeping left out."""
    return {
        path.relative_to(out).as_posix(): path.read_bytes()
        for path in sorted(out.rglob("*"))
        if path.is_file() and not any(part.startswith(".") for part in path.relative_to(out).parts)
    }
