from __future__ import annotations

from pathlib import Path

import pytest

from overlays.errors import LogError
from overlays.logs.names import column_name
from overlays.logs.timecolumn import choose_time
from overlays.model.session import ReadingPins

from .made import notes_of, read_text, samples_of


def test_two_clocks_side_by_side(tmp_path: Path) -> None:
    """Each group keeps its own samples and gaps, on one time for both."""
    text = "t1_s,a,t2_ms,b\n0,1,0,10\n1,,2500,20\n2,3,3000,\n3,4,,\n"
    log = read_text(tmp_path, text)
    samples = samples_of(log)
    assert samples["elapsed_s"] == [0, 1, 2, 2.5, 3]
    assert samples["a"] == [1, None, 3, None, 4]
    assert samples["b"] == [10, None, None, 20, None]
    rows = {column.name: column.rows for column in log.columns}
    assert rows["a"] is not None
    assert rows["b"] is not None
    assert (rows["a"].tolist(), rows["b"].tolist()) == ([0, 1, 2, 4], [0, 3, 4])
    assert "2 groups of columns" in notes_of(log)


def test_clock_that_goes_back_is_refused(tmp_path: Path) -> None:
    """A clock that goes back leaves no way to tell what belongs together."""
    rows = "".join(f"{i},1,{i * 2},5\n" for i in range(30))
    with pytest.raises(LogError, match="'t2_s' does not always go forward"):
        read_text(tmp_path, f"t1_s,a,t2_s,b\n{rows}30,1,3,5\n")


@pytest.mark.parametrize(
    ("columns", "others"),
    [
        ({"t1": "0;1;2", "a": "1;1;1", "t2": "0;2;4", "b": "1;1;1"}, (2,)),
        # The same clock once more, a clock beside a clock, and a channel in front are no pairs.
        ({"t1": "0;1;2", "a": "1;1;1", "t2": "5;6;7", "b": "1;1;1"}, ()),
        ({"time": "0;1;2", "elapsed": "0;2;4", "b": "1;1;1"}, ()),
        ({"a": "1;1;1", "t1": "0;1;2", "b": "1;1;1", "t2": "0;2;4"}, ()),
        ({"time": "0;1;2", "a": "1;1;1", "lap time": "0;2;4"}, ()),
    ],
)
def test_when_columns_are_pairs(columns: dict[str, str], others: tuple[int, ...]) -> None:
    """Clocks that alternate with channels and run differently are each for their own."""
    found = choose_time(
        [column_name(name) for name in columns],
        [cells.split(";") for cells in columns.values()],
        ".",
        ReadingPins(),
        file="a.csv",
        line=1,
    )
    assert found.others == others
