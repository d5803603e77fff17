"""The two sessions on invented data: what they hold, and that they hold together."""

from __future__ import annotations

import csv
import runpy
from pathlib import Path

import numpy as np
import pytest

from overlays.model.trace import FloatArray

DEMO = Path(__file__).parents[1] / "demo_sessions" / "brake_bench"
MINI = Path(__file__).parent / "data" / "sessions" / "mini"


def samples(name: str) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Read one demo log with NumPy alone: seconds from the rise, torque without offset, rotor."""
    rows = np.loadtxt(DEMO / "logs" / f"{name}.csv", delimiter=",", skiprows=6)
    time_s, torque, rotor = rows.T
    torque = torque - np.mean(torque[time_s < 0.7])
    return time_s - time_s[np.argmax(torque > 3)], torque, rotor


def mean_near(time_s: FloatArray, values: FloatArray, at_s: float) -> float:
    """Average over a tenth of a second around a moment."""
    return float(np.mean(values[np.abs(time_s - at_s) < 0.05]))


@pytest.mark.parametrize("session", [DEMO, MINI], ids=["brake_bench", "mini"])
def test_the_generator_writes_the_committed_logs_again(session: Path, tmp_path: Path) -> None:
    """Running the program beside the logs gives the same files, byte for byte."""
    runpy.run_path(str(session / "make_logs.py"))["main"](tmp_path)
    committed = {path.name: path.read_bytes() for path in (session / "logs").iterdir()}
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == committed


def test_the_demo_has_thirty_six_logs_at_500_samples_a_second() -> None:
    """Four pads, three tests, three repeats; well below twelve megabytes in all."""
    logs = sorted((DEMO / "logs").iterdir())
    assert len(logs) == 36
    assert sum(log.stat().st_size for log in logs) < 8_000_000
    for log in logs:
        time_s, _, _ = samples(log.stem)
        assert np.allclose(np.diff(time_s), 0.002)


def test_every_log_of_the_demo_is_listed_once_and_remarks_say_why() -> None:
    """runs.csv names each log; the run that is left out and the one that is off carry a note."""
    with (DEMO / "runs.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert sorted(row["file"] for row in rows) == sorted(
        f"logs/{path.name}" for path in (DEMO / "logs").iterdir()
    )
    left_out = [row for row in rows if row["use"] == "no"]
    assert [row["file"] for row in left_out] == ["logs/dune_wet_3.csv"]
    assert all(row["note"] for row in left_out)
    assert any("Left in" in row["note"] for row in rows if row["use"] == "yes")


@pytest.mark.parametrize("pad", ["alder", "basalt", "cobble", "dune"])
def test_the_demo_stays_within_what_a_disc_brake_does(pad: str) -> None:
    """Tens of newton metres, zero before and after, a rotor that warms up, water that costs torque.

    The bands are those of a 160 to 180 mm rotor; common practice, no source.
    """
    cold_s, cold, _ = samples(f"{pad}_cold_1")
    wet_s, wet, _ = samples(f"{pad}_wet_1")
    drag_s, drag, rotor = samples(f"{pad}_drag_1")
    assert 40 < np.max(cold) < 90
    assert 15 < np.max(drag) < 45
    for time_s, torque in ((cold_s, cold), (wet_s, wet), (drag_s, drag)):
        assert np.all(np.abs(torque[time_s < -0.2]) < 1)
        assert np.all(np.abs(torque[-50:]) < 1)
    assert mean_near(wet_s, wet, 1.0) < mean_near(cold_s, cold, 1.0)
    assert 18 < rotor[0] < 28
    assert mean_near(drag_s, rotor, 15) > mean_near(drag_s, rotor, 5) + 30
    assert 120 < np.max(rotor) < 300


def test_one_repeat_of_the_demo_is_plainly_off() -> None:
    """The cold stop with the fingerprint lies a fifth or more below its two neighbours."""
    levels = []
    for repeat in (1, 2, 3):
        time_s, torque, _ = samples(f"cobble_cold_{repeat}")
        levels.append(mean_near(time_s, torque, 3.0))
    assert levels[1] < 0.8 * min(levels[0], levels[2])


def test_the_logs_of_the_second_session_are_few_and_small() -> None:
    """Eight files, semicolons and decimal commas, below 200 kB in all."""
    logs = sorted((MINI / "logs").iterdir())
    assert len(logs) == 8
    assert sum(log.stat().st_size for log in logs) < 200_000
    for log in logs:
        lines = log.read_text(encoding="utf-8").splitlines()
        assert lines[3] == "time [s];flow [l/min];pressure [bar]"
        assert lines[4].startswith("0,000;")
