from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pyarrow as pa
import pytest
from pyarrow import parquet

from overlays.errors import LogError
from overlays.logs.reader import read_log
from overlays.model.trace import Log

from .made import notes_of, samples_of


def made(folder: Path, table: Any) -> Log:
    path = folder / "a.parquet"
    parquet.write_table(table, path)
    return read_log(path, file="a.parquet")


def test_pandas_as_a_second_opinion(tmp_path: Path) -> None:
    """What pandas wrote is what is read, gaps and all."""
    frame = pd.DataFrame(
        {"time_s": np.arange(50) / 100, "v": np.sin(np.arange(50)), "word": ["on"] * 50}
    )
    frame.loc[3, "v"] = np.nan
    frame.to_parquet(tmp_path / "a.parquet")
    log = read_log(tmp_path / "a.parquet", file="a.parquet")
    np.testing.assert_array_equal(log.columns[0].values, frame["v"].to_numpy())
    np.testing.assert_array_equal(log.time_s, frame["time_s"].to_numpy())
    assert "'word' holds" in notes_of(log)


@pytest.mark.parametrize("unit", ["s", "ms", "us", "ns"])
def test_timestamps_and_durations(tmp_path: Path, unit: str) -> None:
    """Timestamps and durations of every resolution become seconds."""
    per = {"s": 1, "ms": 10**3, "us": 10**6, "ns": 10**9}[unit]
    ticks = [1_700_000_000 * per, 1_700_000_002 * per]
    for kind in (pa.timestamp(unit), pa.duration(unit)):
        log = made(tmp_path, pa.table({"when": pa.array(ticks, kind), "v": [1.0, 2.0]}))
        assert samples_of(log)["elapsed_s"] == [0.0, 2.0]
        assert log.layout == "parquet"


def test_units_from_metadata(tmp_path: Path) -> None:
    """A unit in a column's metadata is its unit; integers and decimals are numbers."""
    fields = [
        pa.field("t", pa.int64(), metadata={"unit": "ms"}),
        pa.field("F", pa.float32(), metadata={"unit": "kN"}),
    ]
    table = pa.table([pa.array([0, 250, 500]), pa.array([1.5, None, 2.5], pa.float32())],
                     schema=pa.schema(fields))  # fmt: skip
    log = made(tmp_path, table)
    assert (log.columns[0].unit, log.time_s.tolist()) == ("kN", [0.0, 0.25, 0.5])
    assert samples_of(log)["F"] == [1.5, None, 2.5]


def test_time_as_text_and_rows_without_one(tmp_path: Path) -> None:
    """Stamps in text are read; a row without a time is left out and told."""
    table = pa.table({"time": ["10:00:00.0", None, "10:00:01.0"], "v": [1, 2, 3]})
    log = made(tmp_path, table)
    assert samples_of(log)["v"] == [1, 3]
    assert "1 rows have no time" in notes_of(log)
    with pytest.raises(LogError, match="no date or time"):
        made(tmp_path, pa.table({"time": ["10:00:00", "10:00:01", "late"], "v": [1, 2, 3]}))


def test_damage_is_one_error(tmp_path: Path) -> None:
    """A cut file and an empty table are one error each."""
    made(tmp_path, pa.table({"t_s": [0.0, 1.0], "v": [1.0, 2.0]}))
    path = tmp_path / "a.parquet"
    path.write_bytes(path.read_bytes()[:100])
    with pytest.raises(LogError) as caught:
        read_log(path, file="a.parquet")
    assert caught.value.code == "damaged-log"
    with pytest.raises(LogError):
        made(
            tmp_path, pa.table({"t_s": pa.array([], pa.float64()), "v": pa.array([], pa.float64())})
        )
