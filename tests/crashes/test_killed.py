"""`episode` killed at seeded moments: no part under a final name, the next run ends the same."""

from __future__ import annotations

import multiprocessing
import os
import shutil
import signal
import sys
import time
from collections.abc import Callable
from contextlib import redirect_stderr, redirect_stdout, suppress
from functools import partial
from multiprocessing.context import ForkServerContext, SpawnContext
from pathlib import Path

import numpy as np
import pytest

from overlays.files import is_leftover
from overlays.turnover.episode import make_episode
from tests.crashes.episodes import CODEC, contents, episode_words, small_session

MOMENTS = 40
CHUNKS = 8
# Where the system can fork, a process comes out of one that has everything loaded, so that moments
# fall on the work and not on the start of Python.
PROCESSES: ForkServerContext | SpawnContext = (
    multiprocessing.get_context("forkserver")
    if "forkserver" in multiprocessing.get_all_start_methods()
    else multiprocessing.get_context("spawn")
)
PROCESSES.set_forkserver_preload(["tests.crashes.test_killed", "scipy.signal", "pyarrow.csv"])


def _command_line(words: list[str]) -> None:
    from overlays.cli import main

    sys.argv = words
    with Path(os.devnull).open("w") as nowhere, redirect_stdout(nowhere), redirect_stderr(nowhere):
        main()


def started(session: Path, out: Path, *, workers: int = 1) -> multiprocessing.process.BaseProcess:
    """Start the command that makes an episode."""
    words = episode_words(session, out, workers=workers)
    process = PROCESSES.Process(target=_command_line, args=(words,))
    process.start()
    return process


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[str, bytes], float]:
    """A session, what an uninterrupted episode of it leaves, and how long that took."""
    folder = tmp_path_factory.mktemp("whole")
    session = small_session(folder / "session", rate=50)
    for out in (folder / "first", folder / "second"):  # the first starts the server as well
        began = time.monotonic()
        process = started(session, out)
        process.join()
        took_s = time.monotonic() - began
        assert process.exitcode == 0
    return session, contents(folder / "second"), took_s


def kill_after(seconds: float, session: Path, out: Path) -> bool:
    """Start an episode, kill its process; returns whether it was still running."""
    process = started(session, out)
    process.join(seconds)
    running = process.is_alive()
    process.kill()
    process.join()
    return running


@pytest.mark.slow
@pytest.mark.parametrize("chunk", range(CHUNKS))
def test_killed_at_any_moment(
    whole: tuple[Path, dict[str, bytes], float],
    tmp_path: Path,
    chunk: int,
    record_property: Callable[[str, object], None],
) -> None:
    """Whatever stands under a final name is whole; the next run makes the rest, byte for byte."""
    session, expected, took_s = whole
    shares = np.random.default_rng(20).uniform(0.05, 1.0, MOMENTS)[chunk::CHUNKS]
    parts = 0
    for number, share in enumerate(shares):
        out, seconds = tmp_path / str(number), float(share) * took_s
        while not kill_after(seconds, session, out):
            shutil.rmtree(out)  # quicker than the one that was measured: once more, and sooner
            seconds *= float(share)
        found = contents(out) if out.exists() else {}
        wrong = [name for name, data in found.items() if data != expected[name]]
        assert not wrong, f"after {seconds:.3f} s"
        parts += len(found)
        make_episode(session, out, codec=CODEC, workers=1)
        assert contents(out) == expected
        assert not [path for path in out.rglob(".*") if is_leftover(path.name)]
    record_property("killed episodes", len(shares))
    record_property("files whole when killed", parts)


def workers_of(process: int) -> set[int]:
    """Return the worker processes that a process has started."""
    found = set()
    for entry in Path("/proc").iterdir():
        with suppress(OSError, ValueError):
            parent = int((entry / "stat").read_text().rpartition(")")[2].split()[1])
            if parent == process and b"spawn_main" in (entry / "cmdline").read_bytes():
                found.add(int(entry.name))
    return found


def two_workers(process: int) -> bool:
    return len(workers_of(process)) == 2


def gone(processes: set[int]) -> bool:
    """Say whether none of them runs; one that nobody has buried yet has no command line."""
    lines = (Path(f"/proc/{one}/cmdline") for one in processes)
    return not any(line.exists() and line.read_bytes() for line in lines)


def waited(until: Callable[[], bool], seconds: float = 120) -> bool:
    """Wait until something is so; returns whether it came to be."""
    end = time.monotonic() + seconds
    while not until():
        if time.monotonic() > end:
            return False
        time.sleep(0.02)
    return True


@pytest.mark.slow
@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="processes are looked up there")
def test_workers_leave_with_a_killed_episode_and_a_killed_worker_is_made_up_for(
    tmp_path: Path,
) -> None:
    """Long enough an episode for two workers: its bytes are the same whoever of them is killed."""
    # Of fewer frames than these, one process would draw all.
    session, out = small_session(tmp_path / "session", rate=60), tmp_path / "out"
    make_episode(session, tmp_path / "whole", codec=CODEC, workers=1)
    expected = contents(tmp_path / "whole")
    for kill_main in (True, False):
        process = started(session, out, workers=2)
        assert process.pid is not None
        assert waited(partial(two_workers, process.pid))
        workers = workers_of(process.pid)
        os.kill(process.pid if kill_main else min(workers), signal.SIGKILL)
        process.join()
        assert process.exitcode == (-signal.SIGKILL if kill_main else 0)
        assert waited(partial(gone, workers))
        found = contents(out)
        assert found.items() <= expected.items() if kill_main else found == expected


def test_a_session_is_never_written_to(
    whole: tuple[Path, dict[str, bytes], float], tmp_path: Path
) -> None:
    """Neither an episode nor one that was killed leaves anything in the session's folder."""
    session, _, took_s = whole
    before = {path: path.stat().st_mtime_ns for path in session.rglob("*")}
    kill_after(took_s / 2, session, tmp_path / "out")
    assert {path: path.stat().st_mtime_ns for path in session.rglob("*")} == before
