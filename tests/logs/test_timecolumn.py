from __future__ import annotations

import pytest

from overlays.errors import LogError
from overlays.logs.names import column_name
from overlays.logs.timecolumn import TimeColumn, cell_kind, choose_time
from overlays.model.session import ReadingPins


def choose(columns: dict[str, str], **pins: object) -> TimeColumn:
    return choose_time(
        [column_name(name) for name in columns],
        [cells.split(";") for cells in columns.values()],
        ".",
        ReadingPins.model_validate(pins),
        file="a.csv",
        line=1,
    )


@pytest.mark.parametrize(
    ("cells", "kind"),
    [
        (["1", "2.5", ""], "number"),
        (["2025-03-11"], "date"),
        (["11.03.2025", "12.03.2025"], "date"),
        (["10:00:00"], "clock"),
        (["2025-03-11T10:00:00"], "date and clock"),
        (["20250311T101500"], "date and clock"),
        (["on", "off"], "words"),
        (["", "---"], "nothing"),
        (["1", "ERR", "3"], "number"),
    ],
)
def test_kinds(cells: list[str], kind: str) -> None:
    """A column holds what most of its cells hold."""
    assert cell_kind(cells) == kind


@pytest.mark.parametrize(
    ("columns", "places"),
    [
        ({"v": "5;6", "time_s": "0;1"}, (1,)),
        ({"timestamp": "2025-03-11 10:00;2025-03-11 10:01", "v": "1;2"}, (0,)),
        ({"Date": "2025-03-11;2025-03-11", "Time": "10:00:00;10:00:01", "v": "1;2"}, (0, 1)),
        ({"v": "1;2", "x": "10:00:00;10:00:01"}, (1,)),
        ({"time": "0;1", "v": "1;2"}, (0,)),
        ({"date": "2025-03-11;2025-03-12", "v": "1;2"}, (0,)),
        ({"a_s": "11;12;13", "b": "1;2;3"}, (0,)),
        ({"": "0;1;2", "b": "1;2;3"}, (0,)),
        ({"sample": "0;1;2", "b": "5;2;3"}, ()),
        # A clock that was reset over and over is still the time.
        ({"v": "5;6;5;6", "t_s": "0;1;0;1"}, (1,)),
        # A named time that falls is none; a channel counted in seconds is none beside a named one.
        ({"time": "9;5;1", "t_s": "0;1;2"}, (1,)),
        ({"lap_s": "61;62;63", "time_s": "0;1;2"}, (1,)),
        # T is a temperature beside t, and one with its unit is no time at all.
        ({"t": "0;1;2", "F": "5;2;3", "T": "20;21;22", "p": "5;2;3"}, (0,)),
        ({"Time": "0;1;2", "T1 [degC]": "20;21;22"}, (0,)),
        ({"Time": "0;1;2", "F": "5;2;3", "Temps": "20;21;22", "p": "5;2;3"}, (0,)),
    ],
)
def test_chosen(columns: dict[str, str], places: tuple[int, ...]) -> None:
    """Names, units and cells tell the time column."""
    found = choose(columns)
    assert (found.places, found.others) == (places, ())


@pytest.mark.parametrize(
    ("first", "second"), [("t1", "t2"), ("Time A [s]", "Time B [s]"), ("t_F [s]", "t_p [s]")]
)
def test_clocks_of_their_own(first: str, second: str) -> None:
    """Clocks that are named alike but for what tells them apart serve the columns behind them."""
    found = choose({first: "0;1;2", "F": "5;2;3", second: "0;2;4", "p": "5;2;3"})
    assert (found.places, found.others) == ((0,), (2,))


def test_a_symbol_of_a_temperature_alone_is_asked_about() -> None:
    """T without a unit may be either, so a file with no other time is asked about."""
    with pytest.raises(LogError, match="none of the columns"):
        choose({"T": "20;21;22", "F": "5;2;3"})


def test_pins() -> None:
    """A pinned column is taken; counted rows need none."""
    columns = {"a": "0;1", "time": "0;1"}
    assert choose(columns, time_column="a").places == (0,)
    assert choose(columns, time_kind="row number").places == ()
    with pytest.raises(LogError, match="no column 'b'"):
        choose(columns, time_column="b")


def test_columns_without_names_can_be_pinned() -> None:
    """Where the file has no names, columns go by their number."""
    assert choose({"": "5;6", " ": "0;1"}, time_column="column 2").places == (1,)
    with pytest.raises(LogError, match="has 'column 1', 'column 2'"):
        choose({"": "5;6", " ": "0;1"}, time_column="column 3")


def test_asked() -> None:
    """Where nothing tells the time, the columns are named and the pin is shown."""
    with pytest.raises(LogError, match="'a', 'b'") as caught:
        choose({"a": "0;5;1", "b": "1;1;1"})
    assert "time_column" in caught.value.remedy


def test_a_stated_rate_counts_rows() -> None:
    """Where nothing tells the time and the file states a rate, rows are counted."""
    found = choose_time(
        [column_name("CH1")],
        [["3", "1", "2"]],
        ".",
        ReadingPins(),
        stated_rate=True,
        file="a.csv",
        line=1,
    )
    assert found.places == ()
