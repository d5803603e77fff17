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


def test_a_time_that_is_no_number_leaves_its_row_out(tmp_path: Path) -> None:
    """NaN is no time, as nothing is none."""
    log = made(tmp_path, pa.table({"t_s": [0.0, float("nan"), 2.0, None], "v": [1.0, 2, 3, 4]}))
    assert samples_of(log)["elapsed_s"] == [0.0, 2.0]
    assert samples_of(log)["v"] == [1.0, 3.0]
    assert "2 rows have no time; left out" in notes_of(log)


def test_a_moment_that_stands_still_is_not_the_time(tmp_path: Path) -> None:
    """When the log was begun stands in every row; the seconds beside it tell the time."""
    begun = pa.array([1_700_000_000] * 3, pa.timestamp("s"))
    log = made(tmp_path, pa.table({"begun": begun, "t_s": [0.0, 0.1, 0.2], "v": [1.0, 2, 3]}))
    assert samples_of(log)["elapsed_s"] == [0.0, 0.1, 0.2]


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
    assert "1 row has no time" in notes_of(log)
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


def test_a_file_made_to_fill_the_memory_is_refused(tmp_path: Path) -> None:
    """Run lengths turn a kilobyte into any number of noughts; rows are counted before reading."""
    path = tmp_path / "a.parquet"
    block = pa.table({"t_s": np.zeros(1 << 20), "v": np.zeros(1 << 20)})
    with parquet.ParquetWriter(path, block.schema, compression="zstd") as writer:
        for _ in range(50):
            writer.write_table(block)
    assert path.stat().st_size < 1_000_000
    with pytest.raises(LogError, match="104857600 values") as caught:
        read_log(path, file="a.parquet")
    assert caught.value.code == "log-too-large"


def test_a_long_text_in_every_row_is_held_once(tmp_path: Path) -> None:
    """A dictionary turns a page of text into as many as there are rows: 20 GB of these."""
    told = pa.DictionaryArray.from_arrays(np.zeros(200_000, np.int32), ["x" * 100_000])
    table = pa.table({"t_s": np.arange(200_000) / 100, "v": np.arange(200_000.0), "note": told})
    path = tmp_path / "a.parquet"
    parquet.write_table(table, path, store_schema=False)
    log = read_log(path, file="a.parquet")
    assert len(log.columns[0].values) == 200_000
    assert "'note' holds string; left out" in notes_of(log)


def test_what_no_column_of_a_log_is_is_not_read(tmp_path: Path) -> None:
    """Lists, records and bytes are left out with a note."""
    table = pa.table(
        {
            "t_s": np.arange(3.0),
            "v": np.arange(3.0),
            "l": [[1]] * 3,
            "s": [{"x": 1}] * 3,
            "b": [b""] * 3,
        }
    )
    log = made(tmp_path, table)
    assert [column.name for column in log.columns] == ["v"]
    assert all(f"column {name!r} holds" in notes_of(log) for name in "lsb")


@pytest.mark.parametrize(
    "column",
    [
        pa.array([10**18, 10**18 + 1], pa.timestamp("us")),
        pa.array([-(10**17), 10**17], pa.timestamp("ms")),
        pa.Array.from_buffers(
            pa.string(),
            2,
            [None, pa.py_buffer(np.arange(3, dtype=np.int32)), pa.py_buffer(b"\xff" * 2)],
        ),
    ],
)
def test_what_no_calendar_or_encoding_has_is_one_error(tmp_path: Path, column: Any) -> None:
    """Times of the year 33658, which Python's calendar does not have, and text that is no UTF-8."""
    with pytest.raises(LogError) as caught:
        made(tmp_path, pa.table({"t": column, "v": np.arange(2.0)}))
    assert caught.value.code == "damaged-log"


@pytest.mark.slow
def test_any_damage_is_one_error_or_none(tmp_path: Path) -> None:
    """A byte here or there changed: the file is read or told, never otherwise."""
    table = pa.table({"t_s": np.arange(200) / 10, "v": np.sin(np.arange(200)), "n": ["on"] * 200})
    path = tmp_path / "a.parquet"
    parquet.write_table(table, path)
    whole = path.read_bytes()
    chance = np.random.default_rng(11)
    outcomes = {"read": 0, "told": 0}
    for _ in range(600):
        changed = bytearray(whole)
        for _ in range(int(chance.integers(1, 4))):
            changed[int(chance.integers(4, len(changed)))] = int(chance.integers(0, 256))
        path.write_bytes(changed)
        try:
            read_log(path, file="a.parquet")
            outcomes["read"] += 1
        except LogError:
            outcomes["told"] += 1
    assert min(outcomes.values()) > 0
