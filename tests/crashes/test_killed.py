"""`episode` killed at seeded moments: no part under a final name, the next run ends the same."""

from __future__ import annotations

import multiprocessing
import os
import shutil
import sys
import time
from collections.abc import Callable
from contextlib import redirect_stderr, redirect_stdout
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
if "forkserver" in multiprocessing.get_all_start_methods():
    PROCESSES = multiprocessing.get_context("forkserver")
    PROCESSES.set_forkserver_preload(["tests.crashes.test_killed", "scipy.signal", "pyarrow.csv"])
else:
    PROCESSES = multiprocessing.get_context("spawn")


def _command_line(words: list[str]) -> None:
    from overlays.cli import main

    sys.argv = words
    with Path(os.devnull).open("w") as nowhere, redirect_stdout(nowhere), redirect_stderr(nowhere):
        main()


def _start(session: Path, out: Path, workers: int) -> multiprocessing.process.BaseProcess:
    words = episode_words(session, out, workers=workers)
    process = PROCESSES.Process(target=_command_line, args=(words,))
    process.start()
    return process


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[str, bytes], list[float]]:
    """A session, what an uninterrupted episode of it leaves, how long one worker takes, and two."""
    folder = tmp_path_factory.mktemp("whole")
    session = small_session(folder / "session", rate=50)
    took_s = []
    for workers in (1, 1, 2):  # the first starts the server
        out = folder / f"out{len(took_s)}"
        began = time.monotonic()
        process = _start(session, out, workers)
        process.join()
        took_s.append(time.monotonic() - began)
    return session, contents(out), took_s[1:]


def kill_after(seconds: float, session: Path, out: Path, workers: int) -> bool:
    """Start an episode, kill its main process; returns whether it was still running."""
    process = _start(session, out, workers)
    process.join(seconds)
    running = process.is_alive()
    process.kill()
    process.join()
    return running


@pytest.mark.slow
@pytest.mark.parametrize("chunk", range(CHUNKS))
def test_killed_at_any_moment(
    whole: tuple[Path, dict[str, bytes], list[float]],
    tmp_path: Path,
    chunk: int,
    record_property: Callable[[str, object], None],
) -> None:
    """Whatever stands under a final name is whole; the next run makes the rest, byte for byte."""
    session, expected, took_s = whole
    shares = np.random.default_rng(20).uniform(0.05, 1.0, MOMENTS)
    killed = parts = 0
    for number, share in enumerate(shares[chunk::CHUNKS]):
        out, workers = tmp_path / str(number), 1 + number % 2
        seconds = float(share) * took_s[workers - 1]
        while not kill_after(seconds, session, out, workers):
            shutil.rmtree(out)  # quicker than the one that was measured: once more, and sooner
            seconds *= float(share)
        killed += 1
        found = contents(out) if out.exists() else {}
        wrong = [name for name, data in found.items() if data != expected[name]]
        assert not wrong, f"after {seconds:.3f} s"
        parts += len(found)
        make_episode(session, out, codec=CODEC, workers=1)
        assert contents(out) == expected
        assert not [path for path in out.rglob(".*") if is_leftover(path.name)]
    record_property("killed episodes", killed)
    record_property("files whole when killed", parts)


def test_a_session_is_never_written_to(
    whole: tuple[Path, dict[str, bytes], list[float]], tmp_path: Path
) -> None:
    """Neither an episode nor one that was killed leaves anything in the session's folder."""
    session, _, took_s = whole
    before = {path: path.stat().st_mtime_ns for path in session.rglob("*")}
    kill_after(took_s[0] / 2, session, tmp_path / "out", 1)
    assert {path: path.stat().st_mtime_ns for path in session.rglob("*")} == before
