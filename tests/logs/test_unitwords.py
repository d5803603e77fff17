from __future__ import annotations

import string

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.logs.unitwords import (
    is_time_unit,
    is_unit,
    of_temperature,
    split_unit,
    unit_text,
)
from overlays.units import same_dimension


@pytest.mark.parametrize(
    ("written", "unit", "unsure"),
    [
        ("Kraft µN", "µN", False),
        ("Torque Nm", "Nm", False),
        ("Drehzahl U/min", "rpm", False),
        ("Speed km/h", "km/h", False),
        ("Druck_MPa", "MPa", False),
        ("Force_N", "N", True),
        ("Bremskraft N", "N", True),
        ("torque_nm", "N*m", True),
        ("supply_voltage_v", "V", True),
        ("Current A", "A", True),
        ("Öltemperatur C", "degC", True),
        ("Temp F", "degF", True),
        ("Stroke mm", "mm", False),
        ("Weight g", "g", True),
        ("F_N", "N", True),
        ("Channel A", None, False),
        ("Run m", None, False),
        ("Group h", None, False),
        ("CH1 V2", None, False),
        ("wavelength_nm", "nm", True),
        ("force_mean", None, False),
        ("Force_x", None, False),
        ("Temp B", None, False),
        ("Torque rear", None, False),
    ],
)
def test_last_words(written: str, unit: str | None, *, unsure: bool) -> None:
    """A last word is a unit where it can hardly mean anything else, or measures what is named."""
    found = split_unit(written)
    assert (found.name, found.unit, found.unsure) == (written, unit, unsure)
    assert found.last_word == (unit is not None)


@pytest.mark.parametrize(
    ("written", "name", "unit"),
    [
        ("Kraft/N", "Kraft", "N"),
        ("t/s", "t", "s"),
        ("p/kPa", "p", "kPa"),
        ("km/h", "km/h", None),
        ("Input/Output", "Input/Output", None),
        ("温度（℃）", "温度", "°C"),
        ("変位［㎜］", "変位", "mm"),
        ("Flow [l/min]", "Flow", "l/min"),
        ("Force (mean)", "Force (mean)", None),
        ("p [PSI]", "p", "psi"),
        ("p (bar(g))", "p", "bar"),
    ],
)
def test_strokes_and_brackets(written: str, name: str, unit: str | None) -> None:
    """A unit behind a stroke (SI Brochure, 5.4.1) or in brackets of any width leaves the name."""
    found = split_unit(written)
    assert (found.name, found.unit, found.last_word) == (name, unit, False)


@pytest.mark.parametrize(
    ("name", "unit", "meant"),
    [
        ("Temp", "C", "degC"), ("Öltemperatur", "F", "degF"), ("T1", "C", "degC"),
        ("Charge", "C", "C"), ("t", "F", "F"), ("Temp", "K", "K"), ("Temp", None, None),
    ],
)  # fmt: skip
def test_letters_of_temperatures(name: str, unit: str | None, meant: str | None) -> None:
    """C and F are scales behind the name of a temperature, and coulomb and farad elsewhere."""
    assert of_temperature(name, unit) == meant


@pytest.mark.parametrize("header", ["Torque Nmm", "Kraft daN", "Moment Ncm", "Force kgf", "n rpm"])
def test_last_words_are_units(header: str) -> None:
    """What is taken for a unit can be converted."""
    unit = split_unit(header).unit
    assert unit is not None
    assert same_dimension(unit, unit)


@given(
    st.sampled_from(["Channel", "Run", "Group", "Sensor", "Phase", "Probe", "Valve", "Lap"]),
    st.sampled_from(string.ascii_letters.replace("s", "")),
    st.sampled_from([" ", "_", ", "]),
)
def test_letters_that_count_are_no_units(name: str, letter: str, join: str) -> None:
    """A letter behind a word that names no quantity is part of the name."""
    assert split_unit(f"{name}{join}{letter}").unit is None


@given(st.text(max_size=60))
def test_any_header_comes_apart(written: str) -> None:
    """No header breaks the reader, and a unit that is its last word leaves the name whole."""
    found = split_unit(written.strip())
    if found.last_word:
        assert found.name == written.strip()
    is_unit(written)
    is_time_unit(written)
    unit_text(written)
