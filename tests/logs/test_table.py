from __future__ import annotations

import numpy as np
import pytest

from overlays.errors import LogError
from overlays.logs.names import column_name
from overlays.logs.notes import NoteBook
from overlays.logs.table import Table, log_of
from overlays.logs.timecolumn import TimeColumn
from overlays.model.session import ReadingPins
from overlays.model.trace import Log

NAN = float("nan")


def log(columns: dict[str, list[float]], **pins: object) -> Log:
    arrays = {j: np.array(values, dtype=np.float64) for j, values in enumerate(columns.values())}
    table = Table(
        layout="delimited",
        columns=[column_name(name) for name in columns],
        time=TimeColumn((0,), ""),
        numbers=arrays,
        n=len(arrays[0]),
        line_of=lambda row: row + 2,
        header_line=1,
    )
    return log_of(table, ReadingPins.model_validate(pins), NoteBook(), file="a.csv")


@pytest.mark.parametrize(
    ("values", "rows"),
    [
        ([10, NAN, NAN, NAN, 18], [0, 4]),
        ([1, NAN, 2, NAN, 3], [0, 2, 4]),
        ([NAN, 1, NAN, 2, NAN], [1, 3]),
        ([1, NAN, NAN, 2, 3], None),
        ([1, 2, NAN, 4, 5], None),
        ([NAN, NAN, NAN, 1, NAN], None),
        ([1, NAN, NAN, NAN, NAN], None),
        ([1, 2, 3, 4, 5], None),
    ],
)
def test_slower_channels(values: list[float], rows: list[int] | None) -> None:
    """Values at regular rows are a slower channel; other blanks are gaps."""
    found = log({"t_s": [0, 1, 2, 3, 4], "v": values}).columns[0].rows
    assert (None if found is None else found.tolist()) == rows


def test_slow_channel_with_a_gap_of_its_own() -> None:
    """A sample missing on the slow channel's own rows stays a gap."""
    slow = [0.0 if i % 2 == 0 and i != 6 else NAN for i in range(20)]
    found = log({"t_s": list(range(20)), "v": slow}).columns[0]
    assert found.rows is not None
    assert np.isnan(found.values[found.rows]).sum() == 1


def test_names_are_unique() -> None:
    """Equal names are told apart, by their unit or by a number."""
    rows = [0.0, 1.0]
    found = log({"t_s": rows, "p [bar]": rows, "p [psi]": rows, "q": rows, "": rows})
    assert [c.name for c in found.columns] == ["p [bar]", "p [psi]", "q", "column 5"]


def test_empty_columns() -> None:
    """A column without a name and without values is what a trailing delimiter makes."""
    found = log({"t_s": [0, 1], "v": [NAN, NAN], "": [NAN, NAN]})
    assert [column.name for column in found.columns] == ["v"]
    assert any("is empty" in note.message for note in found.notes)


def test_segments_and_one_of_them() -> None:
    """A reset clock gives segments, of which one can be pinned."""
    columns = {"t_s": [0.0, 1, 2, 3, 0, 1, 2], "v": [1.0, 2, 3, 4, 5, 6, 7]}
    found = log(columns)
    assert [(s.first_line, s.n, s.seconds) for s in found.segments] == [(2, 4, 3.0), (6, 3, 2.0)]
    second = log(columns, segment=2)
    assert second.columns[0].values.tolist() == [5, 6, 7]
    assert len(second.segments) == 1
    with pytest.raises(LogError, match="no segment 3"):
        log(columns, segment=3)


def test_arrays_are_read_only() -> None:
    """What was read cannot be written over by mistake."""
    found = log({"t_s": [0, 1], "v": [1, 2]})
    for array in (found.time_s, found.time.values, found.columns[0].values):
        with pytest.raises(ValueError, match="read-only"):
            array[0] = 5.0
