"""Every command and code block in the docs works as written."""

from __future__ import annotations

import json
import os
import re
import shlex
import shutil
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from tests.render.planning import edit

ROOT = Path(__file__).resolve().parent.parent
FENCE = re.compile(r"^```([^\n]*)\n(.*?)^```$", re.MULTILINE | re.DOTALL)


@dataclass(frozen=True, slots=True)
class Block:
    """A fenced block: where it stands, what it is, what it says."""

    place: str
    info: str
    text: str


def _blocks() -> Iterator[Block]:
    for name in ("README.md", "DEVELOPERS.md", "CHANGELOG.md"):
        source = (ROOT / name).read_text(encoding="utf-8")
        for match in FENCE.finditer(source):
            line = source[: match.start()].count("\n") + 1
            yield Block(f"{name}:{line}", match[1].strip(), match[2])


def _commands() -> list[tuple[str, str]]:
    return [
        (block.place, line)
        for block in _blocks()
        if block.info == "sh"
        for line in block.text.splitlines()
        if line.strip() and not line.startswith("#") and "pip install" not in line
    ]


def test_every_block_is_of_a_kind_that_is_checked() -> None:
    """A block that no test below would run is not allowed in the docs."""
    kinds = {"sh", "python", "toml", "json", "csv", "text", "markdown", "beat"}
    odd = [b.place for b in _blocks() if b.info not in kinds and not b.info.startswith("cue ")]
    assert odd == []


def test_the_first_two_commands_are_the_set_up() -> None:
    """The README opens with one command that renders the demo and one that passes the tests."""
    shell = [b for b in _blocks() if b.info == "sh" and b.place.startswith("README.md")][:2]
    assert "pip install" in shell[0].text
    assert "render.py episode demo_sessions/brake_bench" in shell[0].text
    assert "pip install" in shell[1].text
    assert "pytest" in shell[1].text
    assert all(len(b.text.strip().splitlines()) == 1 for b in shell)


@pytest.mark.slow
def test_every_command_in_the_docs_runs(tmp_path: Path) -> None:
    """Commands of the docs run in the order they stand and leave with 0."""
    (tmp_path / "styles").symlink_to(ROOT / "styles")
    # Whether a command works does not depend on the canvas; CI draws the demo at its full size.
    demo = shutil.copytree(ROOT / "demo_sessions", tmp_path / "demo_sessions")
    edit(demo / "brake_bench" / "session.toml", "canvas = [1920, 1080]", "canvas = [480, 270]")
    environment = os.environ | {"PYTHONPATH": str(ROOT)}
    for place, command in _commands():
        words = shlex.split(command)
        assert words[0] == "python", f"{place}: {command}"
        if words[1] == "render.py":
            words[1] = str(ROOT / "render.py")
        elif words[1].startswith("tests/"):
            words[1] = str(ROOT / words[1])
        done = subprocess.run(
            [sys.executable, *words[1:]],
            cwd=tmp_path,
            env=environment,
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode == 0, f"{place}: {command}\n{done.stderr}"


def test_every_toml_and_json_block_parses() -> None:
    """Examples of session tables, cues and results are well formed."""
    for block in _blocks():
        if block.info in {"toml", "beat"} or block.info.startswith("cue "):
            tomllib.loads(block.text)
        elif block.info == "json":
            json.loads(block.text)


@pytest.mark.slow
def test_every_python_block_runs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Python examples run from top to bottom, beside the demo sessions."""
    for name in ("demo_sessions", "styles"):
        (tmp_path / name).symlink_to(ROOT / name)
    monkeypatch.chdir(tmp_path)
    for block in _blocks():
        if block.info == "python":
            exec(compile(block.text, block.place, "exec"), {"__name__": "example"})  # noqa: S102
