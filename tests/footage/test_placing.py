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
from typer.testing import CliRunner

from overlays.cli import app
from overlays.errors import Problems
from overlays.model.result import Results
from overlays.scoring.results import work_out
from overlays.session.reader import read_session
from tests.footage.benches import HZ, room, run_sound, with_run
from tests.footage.cameras import SOURCE_HZ, film

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


@pytest.mark.slow
@pytest.mark.parametrize("by", ["flash", "clap"])
def test_a_run_is_found_by_one_moment_of_it(tmp_path: Path, by: str) -> None:
    """A lamp and a clap 0.5 s before the trigger; a second one just like it leaves it unsure."""
    rng = np.random.default_rng(3)
    for marks_s, sure in ([3.0], True), ([3.0, 5.5], False):
        time_s = np.arange(8 * HZ) / HZ
        sound = rng.normal(0, 0.004, len(time_s))
        grey = np.full(8 * SOURCE_HZ, 90, np.uint8)
        for mark_s in marks_s:
            after_s = np.maximum(time_s - mark_s, 0)
            sound += (time_s >= mark_s) * rng.normal(0, 0.3, len(time_s)) * np.exp(-after_s / 0.02)
            grey[round(mark_s * SOURCE_HZ) : round((mark_s + 0.5) * SOURCE_HZ)] = 180
        file = film(tmp_path / f"{len(marks_s)}.mov", sound, sound_hz=HZ, grey=grey)
        told = CliRunner().invoke(
            app,
            [
                "sync",
                str(DEMO),
                "basalt cold 2",
                str(file),
                "--by",
                by,
                "--at",
                "-0.5 s",
                "--format",
                "json",
            ],
        )
        found = json.loads(told.stdout)
        assert (found["by"], found["sure"], told.exit_code) == (by, sure, 0 if sure else 1)
        if sure:
            assert found["offset_s"] == pytest.approx(3.5, abs=FRAME_S)
            assert 'starts = "3.' in found["session_lines"]
        else:
            assert "about as strong, at " in told.stderr


@pytest.mark.parametrize(
    "more", [["--at", "1 s"], ["--by", "clap", "--at", "soon"], ["--by", "clap", "--at", "2 kg"]]
)
def test_a_moment_that_makes_no_sense_is_wrong_usage(more: list[str]) -> None:
    """A time for the sound, or what is no time, is refused before anything is read."""
    told = CliRunner().invoke(app, ["sync", str(DEMO), "basalt cold 2", "a.mov", *more])
    assert told.exit_code == 2
    assert "--at" in told.stderr
