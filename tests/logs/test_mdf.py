from __future__ import annotations

import builtins
import tempfile
from pathlib import Path
from typing import Any

import asammdf
import numpy as np
import pytest

from overlays.errors import LogError
from overlays.logs.reader import read_log
from overlays.model.session import ReadingPins
from overlays.model.trace import Log

from .made import notes_of, samples_of


def made(folder: Path, *groups: dict[str, tuple[list[float], list[float]]]) -> Path:
    """Write channels, each with its values and its time, one group after another."""
    measurement = asammdf.MDF(version="4.10")
    for group in groups:
        measurement.append(
            [
                asammdf.Signal(np.array(values), np.array(times), name=name, unit="N")
                for name, (values, times) in group.items()
            ]
        )
    path = folder / "a.mf4"
    measurement.save(path, overwrite=True)
    measurement.close()
    return path


def read(path: Path, **pins: object) -> Log:
    return read_log(path, file="a.mf4", pins=ReadingPins.model_validate(pins))


FAST = {"fast": ([1.0, 2.0, 3.0, 4.0], [0.0, 0.1, 0.2, 0.3])}
SLOW = {"slow": ([10.0, 20.0], [0.0, 0.25])}


def test_groups_with_their_own_clocks(tmp_path: Path) -> None:
    """Channels at different rates are put onto one time, nothing interpolated."""
    log = read(made(tmp_path, FAST, SLOW))
    assert log.layout == "mdf"
    assert samples_of(log)["elapsed_s"] == [0.0, 0.1, 0.2, 0.25, 0.3]
    assert samples_of(log)["slow"] == [10.0, None, None, 20.0, None]
    assert [c.rows.tolist() for c in log.columns if c.rows is not None] == [[0, 1, 2, 4], [0, 3]]
    assert "2 channel groups" in notes_of(log)


def test_one_group(tmp_path: Path) -> None:
    """One group is read as it is, or can be pinned."""
    path = made(tmp_path, FAST, SLOW)
    assert samples_of(read(path, group=1))["slow"] == [10.0, 20.0]
    with pytest.raises(LogError, match="no channel group 2"):
        read(path, group=2)
    assert read(made(tmp_path, FAST)).columns[0].unit == "N"


def test_damage_is_one_error(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A cut file is one error, and nothing else is printed."""
    path = made(tmp_path, FAST)
    path.write_bytes(path.read_bytes()[:300])
    with pytest.raises(LogError) as caught:
        read(path)
    assert caught.value.code == "damaged-log"
    assert capsys.readouterr().err == ""


def test_clock_that_goes_back(tmp_path: Path) -> None:
    """Clocks that do not go forward cannot be put together silently."""
    odd: dict[str, Any] = {"odd": ([1.0, 2.0, 3.0], [0.0, 0.2, 0.1])}
    path = made(tmp_path, FAST, odd)
    with pytest.raises(LogError, match="does not always go forward"):
        read(path)
    assert samples_of(read(path, group=1))["odd"] == [1.0, 2.0]


def test_missing_extra_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without asammdf the error says what to install."""
    path = made(tmp_path, FAST)
    real = builtins.__import__

    def without(name: str, *args: Any, **options: Any) -> Any:
        if name == "asammdf":
            raise ImportError(name)
        return real(name, *args, **options)

    monkeypatch.setattr(builtins, "__import__", without)
    with pytest.raises(LogError, match="asammdf") as caught:
        read(path)
    assert "pip install" in caught.value.remedy


def test_a_formula_is_never_computed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Algebraic conversions (ASAM MDF 4.1, ##CC of type 3) are text that would be evaluated."""
    computed: list[str] = []

    def evaluate(text: str) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
        computed.append(text)
        return np.zeros(3)

    monkeypatch.setattr("asammdf.blocks.v4_blocks.evaluate", evaluate)
    formula: dict[str, object] = {"formula": "X1 * 2 + __import__('os').getpid()"}
    times, values = np.array([0.0, 0.1, 0.2]), np.array([1.0, 2.0, 3.0])
    measurement = asammdf.MDF(version="4.10")
    plain = asammdf.Signal(values, times, name="plain")
    made_up = asammdf.Signal(values, times, name="made_up", conversion=formula)
    measurement.append([plain, made_up])
    measurement.save(tmp_path / "a.mf4", overwrite=True)
    measurement.close()
    with asammdf.MDF(tmp_path / "a.mf4") as stored:
        stored.get("made_up", ignore_invalidation_bits=True)
    assert computed.pop().startswith("X * 2 + __import__")  # so that this test could fail
    log = read(tmp_path / "a.mf4")
    assert computed == []
    assert [column.name for column in log.columns] == ["plain"]
    assert "'made_up' is defined by a formula" in notes_of(log)


def test_more_values_than_memory_holds_are_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What the groups declare is counted before anything is unpacked."""
    monkeypatch.setattr("overlays.logs.mdf.MOST_VALUES", 7)
    with pytest.raises(LogError, match="declares 8 values") as caught:
        read(made(tmp_path, FAST))
    assert caught.value.code == "log-too-large"


def test_nothing_is_left_behind_of_a_damaged_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """asammdf 8.8 copies some aside and forgets them."""
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "temp"))
    (tmp_path / "temp").mkdir()
    (tmp_path / "a.mf4").write_bytes(b"MDF     4.10    " + b"\xff" * 900)
    with pytest.raises(LogError, match="damaged"):
        read(tmp_path / "a.mf4")
    assert list((tmp_path / "temp").iterdir()) == []
