from __future__ import annotations

import pytest

from overlays.logs.names import column_name, time_word
from overlays.logs.unitwords import is_unit, unit_text


@pytest.mark.parametrize(
    ("cell", "name", "unit", "time"),
    [
        ("Torque [N·m]", "Torque", "N·m", False),
        ("Force (N)", "Force", "N", False),
        ("Force (mean)", "Force (mean)", None, False),
        ("counts [raw]", "counts", "raw", False),
        ("Speed / rpm", "Speed", "rpm", False),
        ("p in bar", "p", "bar", False),
        ("Temp °C", "Temp °C", "degC", False),
        ("temp_c", "temp_c", "degC", False),
        ("druck_pa", "druck_pa", "Pa", False),
        ("temp_min", "temp_min", None, False),
        ("force_std", "force_std", None, False),
        ("b_v", "b_v", None, False),
        ("time_s", "time_s", "s", True),
        ("t_ms", "t_ms", "ms", True),
        ("Zeit [Sekunden]", "Zeit", "s", True),
        ("elapsed time (min)", "elapsed time", "min", True),
        ("millis", "millis", "ms", True),
        ("a_s", "a_s", "s", False),
        ('  "t" ', "t", None, True),
        ("T", "T", None, False),
        ("T [s]", "T", "s", True),
        ("T1 [°C]", "T1", "°C", False),
        ("Temps [s]", "Temps", "s", True),
        ("Temps (C)", "Temps", "degC", False),
        ("", "", None, False),
    ],
)
def test_names_and_units(cell: str, name: str, unit: str | None, *, time: bool) -> None:
    """A unit counts where it stands in brackets, or can hardly be anything else."""
    found = column_name(cell)
    assert (found.name, found.unit, found.named_time) == (name, unit, time)


@pytest.mark.parametrize(
    ("name", "word"),
    [("t_F", "t"), ("Time A", "Time"), ("Time 2", "Time"), ("Zeit1", "Zeit"), ("Force", None)],
)
def test_word_that_says_time(name: str, word: str | None) -> None:
    """The word stands alone, whatever is around it."""
    assert time_word(name) == word


def test_unit_row_goes_before_the_name() -> None:
    """What the unit row says wins; a time unit gets this project's spelling."""
    assert column_name("Force (N)", unit="kN").unit == "kN"
    assert column_name("time", unit="sec").unit == "s"


@pytest.mark.parametrize("text", ["s", "N*m", "l/min", "degC", "°C", "[bar]", "(-)", "%", "µs"])
def test_units(text: str) -> None:
    """Units are known with and without brackets."""
    assert is_unit(text)
    assert unit_text(text)


@pytest.mark.parametrize("text", ["", "torque", "two words", "[]", "channel 1"])
def test_no_units(text: str) -> None:
    """Words are no units."""
    assert not is_unit(text)


@pytest.mark.parametrize("cell", ["#", "Sample", "No.", "index"])
def test_row_numbers(cell: str) -> None:
    """Names that only count rows are known."""
    assert column_name(cell).named_row
