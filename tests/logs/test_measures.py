from __future__ import annotations

from pathlib import Path

import pytest

from overlays.errors import LogError
from overlays.logs.measures import bare, is_measure, units_in, without_unit

from .made import notes_of, read_text, samples_of


@pytest.mark.parametrize(
    "cell", ["1.5 V", "12,3 N", "-0.5e-3A", "85%", "25 °C", "1 013,25 hPa", "3 m/s2", "9.81 m/s²"]
)
def test_numbers_with_their_unit(cell: str) -> None:
    """A number, a space or none, and a unit that is known."""
    assert is_measure(cell)


@pytest.mark.parametrize(
    "cell",
    ["1.5", "V", "", "ERR 5", "1.5 zork", "10:00:00", "5th", "0x1F", "5 -", "12 V dc", "1.5e3"],
)
def test_what_is_no_number_with_its_unit(cell: str) -> None:
    """Numbers alone, words, ordinals and times of day are none."""
    assert not is_measure(cell)


@pytest.mark.parametrize(
    ("cells", "found"),
    [
        (["Voltage", "1.5 V", "1.6 V", ""], {0: "V"}),
        (["900 mV", "990 mV", "1.0 V"], {0: "mV"}),
        (["1A", "1B", "1C", "2A", "2B"], {}),
        (["3.3 V", "1.5", "1.6", "1.7"], {}),
        (["1.5", "2.5"], {}),
    ],
)
def test_columns_that_carry_their_unit(cells: list[str], found: dict[int, str]) -> None:
    """Half of the cells there have to be of one quantity: a heading or a label makes no unit."""
    assert units_in([[cell] for cell in cells], 1) == found


def test_taken_off() -> None:
    """Only numbers lose their unit, and only the unit of their column."""
    assert bare(["1.5 V", "5 V", "Supply V"], {0: "V", 2: "V"}) == ["1.5", "5 V", "Supply V"]
    assert [without_unit(cell, "V") for cell in ("1.5 V", "1.5", "--")] == ["1.5", None, "--"]


@pytest.mark.parametrize(
    ("text", "unit", "values"),
    [
        ("Time,U\n0.0 s,1.5 V\n0.1 s,1.6 V\n0.2 s,--\n", "V", [1.5, 1.6, None]),
        ("t_s;Kraft\n0,0;12,3 N\n0,1;12,4 N\n0,2;1.013,5 N\n", "N", [12.3, 12.4, 1013.5]),
        ("t_s,U [V]\n0.0,1.5 Volts\n0.1,1.6 Volts\n", "V", [1.5, 1.6]),
        ("t_s,slip,5 V\n0.0,3%,1\n0.1,4%,2\n", "%", [3, 4]),
    ],
)
def test_logs_that_carry_units(
    tmp_path: Path, text: str, unit: str, values: list[float | None]
) -> None:
    """They are read as numbers with that unit, and the reading note says so."""
    log = read_text(tmp_path, text)
    assert log.columns[0].unit == unit
    assert samples_of(log)[log.columns[0].name] == values
    assert samples_of(log)["elapsed_s"] == pytest.approx([i / 10 for i in range(len(values))])
    assert f"the cells of {log.columns[0].name!r} carry their unit" in notes_of(log)


@pytest.mark.parametrize("odd", ["1.002 V", "1002", "ERR"])
def test_another_unit_or_none_is_no_number(tmp_path: Path, odd: str) -> None:
    """A meter that changes its range does not change the numbers without a word."""
    log = read_text(tmp_path, f"t_s,U\n0,998 mV\n1,999 mV\n2,{odd}\n3,997 mV\n")
    assert samples_of(log)["U"] == [998, 999, None, 997]
    assert f"has {odd!r} under 'U', which is no number of mV like the others" in notes_of(log)
    assert [note.column for note in log.notes if note.line == 4] == ["U"]


def test_a_heading_of_another_unit_is_asked_about(tmp_path: Path) -> None:
    """Nobody but the user knows which of the two is right."""
    with pytest.raises(LogError, match="gives the unit 'kN', and its cells carry 'N'") as caught:
        read_text(tmp_path, "t_s,F [kN]\n0,12 N\n1,13 N\n")
    assert (caught.value.code, caught.value.line) == ("two-units", 1)
