"""Folders held by one process at a time: who holds them, and locks nobody holds any more."""

from __future__ import annotations

import contextlib
import errno
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from overlays.errors import WorkError
from overlays.lock import LOCK_FILE, held

HOLDER = (
    "import sys, time\n"
    "from pathlib import Path\n"
    "from overlays.lock import held\n"
    "with held(Path(sys.argv[1]), 'clips being rendered'):\n"
    "    print('held', flush=True)\n"
    "    time.sleep(60)\n"
)


def holder_of(folder: Path) -> subprocess.Popen[str]:
    process = subprocess.Popen(
        [sys.executable, "-c", HOLDER, str(folder)], stdout=subprocess.PIPE, text=True
    )
    assert process.stdout is not None
    assert process.stdout.readline() == "held\n"
    return process


def test_the_second_is_told_who_the_first_is(tmp_path: Path) -> None:
    """Process, machine and time of whoever holds a folder; killed, it holds nothing any more."""
    folder = tmp_path / "out"
    process = holder_of(folder)
    try:
        with pytest.raises(WorkError) as caught, held(folder, "an episode being made"):
            pass
        assert caught.value.code == "folder-busy"
        assert f"clips being rendered by process {process.pid} on " in caught.value.message
        assert " since 20" in caught.value.message
    finally:
        process.send_signal(signal.SIGKILL)
        process.wait()
        assert process.stdout is not None
        process.stdout.close()
    with held(folder, "an episode being made"):
        pass


def test_a_folder_let_go_of_has_no_holder(tmp_path: Path) -> None:
    """Only the empty lock file stays; the same process may hold the folder again."""
    for _ in range(2):
        with held(tmp_path / "out", "a test"):
            assert str(os.getpid()) in (tmp_path / "out" / ".tracereel.holder").read_text()
    assert [path.name for path in (tmp_path / "out").iterdir()] == [LOCK_FILE]


def test_what_a_stranger_wrote_as_holder_drives_no_terminal(tmp_path: Path) -> None:
    """Escapes and the rest of a long text are left out; no text at all is somebody."""
    with held(tmp_path, "a test"):
        (tmp_path / ".tracereel.holder").write_bytes(b"\x1b[2Jmallory\n" + b"x" * 999 + b"\xff")
        with pytest.raises(WorkError) as caught, held(tmp_path, "another"):
            pass
        assert "in use: [2Jmallory" in caught.value.message
        assert len(caught.value.message) < 400
        (tmp_path / ".tracereel.holder").unlink()
        with pytest.raises(WorkError, match="another process is at work"), held(tmp_path, "a"):
            pass


def test_a_folder_that_cannot_be_written_to_is_told(tmp_path: Path) -> None:
    """A file in the way is one clear error."""
    (tmp_path / "out").write_text("a file")
    with pytest.raises(WorkError) as caught, held(tmp_path / "out", "a test"):
        pass
    assert caught.value.code == "cannot-write"


@pytest.mark.parametrize("call", ["pathlib.Path.mkdir", "filelock.FileLock.acquire"])
def test_a_full_disk_is_said_in_those_words(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, call: str
) -> None:
    """A disk too full for a folder or a lock is full, whatever else may be written."""

    def full(*_: object, **__: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(call, full)
    with pytest.raises(WorkError, match=r"the disk is full: .* is free") as caught:
        held(tmp_path / "new" / "out", "a test").__enter__()
    assert caught.value.code == "disk-full"


@pytest.mark.skipif(os.name == "nt", reason="links need a privilege there")
@pytest.mark.parametrize("name", [LOCK_FILE, ".tracereel.holder"])
def test_a_link_that_came_with_the_folder_leads_nowhere(tmp_path: Path, name: str) -> None:
    """A file elsewhere is neither written to nor emptied through a link of the lock's names."""
    precious = tmp_path / "precious"
    precious.write_text("precious", encoding="utf-8")
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / name).symlink_to(precious)
    with contextlib.suppress(WorkError), held(tmp_path / "out", "a test"):
        pass
    assert precious.read_text(encoding="utf-8") == "precious"
