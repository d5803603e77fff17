"""The command `sync`: a run of a session in a film, from end to end."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import numpy as np
import pytest

from overlays.errors import Problems
from overlays.model.result import Results
from overlays.scoring.results import work_out
from overlays.session.reader import read_session
from tests.footage.benches import HZ, room, run_sound, with_run
from tests.footage.cameras import film

ROOT = Path(__file__).resolve().parent.parent.parent
DEMO = ROOT / "demo_sessions" / "brake_bench"
FRAME_S = 1001 / 30000


@pytest.fixture(scope="module")
def results() -> Results:
    problems = Problems()
    session = read_session(DEMO, problems)
    assert session is not None
    return work_out(session, problems)


@pytest.fixture(scope="module")
def camera(results: Results, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, float]:
    """Film the second cold stop of Basalt; return the file and the time of its zero."""
    rng = np.random.default_rng(4)
    trace = results.repeats["basalt", "cold"].runs[1].traces["torque"]
    made = 4 * run_sound(trace, "loud and pitch", rng)
    # The trace counts in newton metres up to about the 60 that run_sound takes for full.
    sound, zero_s = with_run(room(22, rng), made, trace, 7.3)
    file = tmp_path_factory.mktemp("camera") / "bench one.mov"
    film(file, 0.9 * sound / np.abs(sound).max(), sound_hz=HZ, more=("-timecode", "10:00:00:00"))
    return file, zero_s


def _sync(*arguments: object) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, str(ROOT / "render.py"), "sync", *map(str, arguments)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
        timeout=300,
    )


@pytest.mark.slow
def test_a_run_of_the_demo_is_found_and_the_table_printed_is_read(
    camera: tuple[Path, float], tmp_path: Path
) -> None:
    """One document with place, error, timecode and frame, and a table that can be read back."""
    file, zero_s = camera
    session = tmp_path / "session"
    shutil.copytree(DEMO, session)
    (session / "footage").mkdir()
    own = shutil.copy(file, session / "footage")
    before = (session / "session.toml").read_bytes()
    done = _sync(session, "basalt cold 2", own, "--format", "json")
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    assert found["sure"]
    assert found["offset_s"] == pytest.approx(zero_s, abs=FRAME_S)
    assert abs(found["offset_s"] - zero_s) <= found["error_s"] <= FRAME_S
    assert found["frame"] == round(found["offset_s"] / FRAME_S)
    assert found["frame_s"] == pytest.approx(found["frame"] * FRAME_S, abs=1e-3)
    seconds, frames = divmod(int(found["offset_s"] / FRAME_S), 30)
    assert found["timecode"] == f"10:00:{seconds:02}:{frames:02}"
    assert (session / "session.toml").read_bytes() == before
    (table,) = tomllib.loads(found["session_lines"])["footage"]
    assert table["file"] == "footage/bench one.mov"
    with (session / "session.toml").open("a", encoding="utf-8") as out:
        out.write(f"\n{found['session_lines']}")
    problems = Problems()
    read = read_session(session, problems)
    assert read is not None
    assert read.spec.footage[0].run == "basalt cold 2"


@pytest.mark.slow
def test_unsure_leaves_with_one_and_says_why(tmp_path: Path) -> None:
    """A workshop without a run: no place is called sure, nothing is to be pasted."""
    sound = room(20, np.random.default_rng(6))
    file = film(tmp_path / "empty.mp4", 0.5 * sound / np.abs(sound).max(), sound_hz=HZ)
    done = _sync(DEMO, "basalt cold 2", file)
    assert done.returncode == 1
    assert "empty.mp4: error: nothing in the sound clearly follows this run." in done.stderr
    assert "heard =" in done.stderr
    assert "[[footage]]" not in done.stdout
    assert "Traceback" not in done.stderr


@pytest.mark.slow
@pytest.mark.parametrize(
    ("run", "named", "says"),
    [
        ("basalt cold 9", "real.mp4", "there is no run 'basalt cold 9'"),
        ("basalt cold 2", "none.mp4", "there is no such file"),
        ("basalt cold 2", "real.mp4", "the footage has no sound track"),
    ],
)
def test_what_cannot_be_looked_for_is_one_error(
    tmp_path: Path, run: str, named: str, says: str
) -> None:
    """A run that is not there, no file, no sound: one clear error each, exit code 1."""
    film(tmp_path / "real.mp4", None, seconds=1)
    done = _sync(DEMO, run, tmp_path / named)
    assert done.returncode == 1
    assert done.stderr.count("error:") == 1
    assert says in done.stderr
    assert done.stdout == ""
