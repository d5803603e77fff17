"""A disk that is full: said in those words, no part left, and the next run goes on."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.crashes.episodes import ROOT, environment, small_session

NAMESPACE = ["unshare", "--user", "--map-root-user", "--mount"]
TRIES = 12


def can_mount(folder: Path) -> bool:
    """Say whether this machine lets us make a small file system of our own."""
    if shutil.which("unshare") is None:
        return False
    mount = ["mount", "-t", "tmpfs", "-o", "size=4096", "tmpfs", str(folder)]
    return subprocess.run([*NAMESPACE, *mount], capture_output=True, check=False).returncode == 0


@pytest.mark.slow
def test_a_full_disk_is_said_and_loses_nothing(
    tmp_path: Path, record_property: Callable[[str, object], None]
) -> None:
    """On file systems of twelve sizes below what is needed, and then with room."""
    if not can_mount(tmp_path):
        pytest.skip("this machine allows no small file system")
    session = small_session(tmp_path / "session")
    tool = [sys.executable, "-m", "tests.crashes.full_disk", str(session), str(tmp_path)]
    done = subprocess.run(
        [*NAMESPACE, *tool, str(TRIES)],
        env=environment(), cwd=ROOT, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    full = [tried for tried in found["tried"] if tried["code"]]
    for tried in found["tried"]:
        assert not tried["partial"], tried
        assert not tried["left"], tried
        assert tried["same"], tried
    # With all but a few pages of what is needed, an episode may just fit.
    assert len(full) >= TRIES - 2
    for tried in full:
        assert tried["code"] == "disk-full", tried
        assert "the disk is full" in tried["message"]
        assert "needs" in tried["message"]
        assert "free" in tried["message"]
    record_property("full disks", len(full))
