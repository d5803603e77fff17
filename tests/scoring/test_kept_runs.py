"""Runs kept from one command to the next change nothing but the time it takes."""

from __future__ import annotations

import shutil
from pathlib import Path

import numpy as np
import pytest

from overlays.errors import Problems
from overlays.model.result import Results
from overlays.model.session import Session
from overlays.scoring import kept_runs as module
from overlays.scoring.kept_runs import CACHE_VARIABLE, KeptRuns
from overlays.scoring.results import work_out
from overlays.session.reader import read_session

MINI = Path(__file__).resolve().parents[1] / "data" / "sessions" / "mini"


@pytest.fixture
def session(tmp_path: Path) -> Session:
    shutil.copytree(MINI, tmp_path / "mini")
    return opened(tmp_path / "mini")


def opened(folder: Path) -> Session:
    problems = Problems()
    session = read_session(folder, problems)
    problems.raise_errors()
    assert session is not None
    return session


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv(CACHE_VARIABLE, str(tmp_path / "cache"))
    return tmp_path / "cache" / "runs"


def worked_out(session: Session) -> Results:
    problems = Problems()
    results = work_out(session, problems)
    problems.raise_errors()
    return results


def test_kept_runs_give_the_same_results(session: Session, folder: Path) -> None:
    """Traces, steps, flags, notes and figures are the same to the last bit, read or kept."""
    first = worked_out(session)
    assert len(list(folder.glob("*.npz"))) == len(session.runs)
    second = worked_out(session)
    assert first.figures == second.figures
    for place, repeats in first.repeats.items():
        for a, b in zip(repeats.runs, second.repeats[place].runs, strict=True):
            assert a.traces.keys() == b.traces.keys()
            assert a.notes
            assert a.notes == b.notes
            for channel, trace in a.traces.items():
                other = b.traces[channel]
                np.testing.assert_array_equal(trace.time_s, other.time_s)
                np.testing.assert_array_equal(trace.values, other.values)
                assert (trace.unit, trace.steps, trace.flags) == (
                    other.unit, other.steps, other.flags,
                )  # fmt: skip
                assert not other.values.flags.writeable


def test_a_kept_run_is_not_read_again(
    session: Session, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The second time no log is read."""
    worked_out(session)
    assert any(folder.iterdir())

    def never(*_: object, **__: object) -> None:
        raise AssertionError("a log was read")

    monkeypatch.setattr("overlays.logs.reader.read_log", never)
    worked_out(session)


def test_what_a_run_depends_on_changes_its_key(session: Session, folder: Path) -> None:
    """A changed log, test, channel or pin is another run; its place and name are not."""
    kept = KeptRuns(folder)
    ref = session.runs[0]
    key = kept.key(ref, session)
    moved = session.folder.with_name("moved")
    shutil.copytree(session.folder, moved)
    assert KeptRuns(folder).key(opened(moved).runs[0], opened(moved)) == key
    text = (moved / "session.toml").read_text(encoding="utf-8")
    (moved / "session.toml").write_text(text.replace("places = 1", "places = 2", 1), "utf-8")
    assert kept.key(opened(moved).runs[0], opened(moved)) != key
    log = ref.path.read_bytes()
    ref.path.write_bytes(log + b"\n")
    assert kept.key(ref, session) != key
    ref.path.unlink()
    assert kept.key(ref, session) is None


@pytest.mark.parametrize("damage", [b"", b"PK\x03\x04 not a zip", b"\0" * 400])
def test_a_damaged_file_is_made_again(session: Session, folder: Path, damage: bytes) -> None:
    """A kept file that is not whole counts as none, and is replaced."""
    first = worked_out(session)
    for file in folder.glob("*.npz"):
        file.write_bytes(damage)
    assert worked_out(session).figures == first.figures
    assert all(file.stat().st_size > len(damage) for file in folder.glob("*.npz"))


def test_nothing_is_kept_where_the_variable_is_empty(
    session: Session, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An empty variable turns keeping off, and a folder that cannot be made does no harm."""
    monkeypatch.setenv(CACHE_VARIABLE, "")
    assert KeptRuns().key(session.runs[0], session) is None
    (tmp_path / "file").write_text("in the way")
    monkeypatch.setenv(CACHE_VARIABLE, str(tmp_path / "file"))
    assert worked_out(session).figures


def test_the_folder_does_not_grow_without_end(
    session: Session, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What was used longest ago goes first."""
    monkeypatch.setattr(module, "_MOST_BYTES", 60_000)
    worked_out(session)
    left = list(folder.glob("*.npz"))
    assert left
    assert sum(file.stat().st_size for file in left) <= 60_000
