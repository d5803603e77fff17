"""Units against NIST SP 811, exact definitions, and hand-made traps."""

from __future__ import annotations

import math
from contextlib import suppress
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.errors import UnitError
from overlays.units import (
    CURRENCIES,
    Quantity,
    convert,
    convert_array,
    convert_difference,
    difference_unit,
    is_offset,
    per,
    same_dimension,
    symbol,
    times,
)
from tests.outside import Row, rows

# How the outside rows write a unit, and how a session does.
WRITTEN = {
    "N m": "N*m", "lbf.ft": "lbf*ft", "lbf.in": "lbf*in", "ozf.in": "ozf*in", "kgf.m": "kgf*m",
    "hp(550 ft.lbf/s)": "hp", "hp(metric)": "metric_horsepower", "N s": "N*s", "lbf.s": "lbf*s",
    "ft.lbf": "ft*lbf", "r/min": "rpm",
}  # fmt: skip
FACTORS = [
    row for row in rows("units") if isinstance(row.expected, dict) and "unit" in row.expected
]
TEMPERATURES = rows("units", "degF->degC")
SOME_UNITS = (
    "N*m", "lbf*ft", "rpm", "Hz", "rad/s", "degC", "degF", "K", "l/min", "kPa", "psi", "EUR/kg",
    "%", "s", "mm", "in", "W/(m²*K)", "1/min", "m/s^2",
)  # fmt: skip


def ours(written: str) -> str:
    return WRITTEN.get(written, written)


@pytest.mark.parametrize("row", FACTORS, ids=lambda row: row.id)
def test_factors_are_those_of_sp_811(row: Row) -> None:
    """A unit converts by the exact definitions behind NIST SP 811 (2008), appendix B.8."""
    number, _, unit = row.input.partition(" ")
    found = convert(float(number), ours(unit), ours(row.expected["unit"]))
    assert found == pytest.approx(row.expected["value"], rel=2e-15)


def test_foot_pound_force_has_every_digit() -> None:
    """1 lbf·ft is 1.3558179483314004 N·m (NIST SP 811), to the last digit but one of a double."""
    found = convert(1.0, "lbf*ft", "N*m")
    assert math.isclose(found, 1.3558179483314004, rel_tol=3e-16)


@pytest.mark.parametrize("row", TEMPERATURES, ids=lambda row: row.id)
def test_temperatures_convert_with_their_offset(row: Row) -> None:
    """Degrees Fahrenheit become degrees Celsius by (t - 32)/1.8 (NIST SP 811, B.8)."""
    number = float(row.input.split()[0])
    assert convert(number, "degF", "degC") == pytest.approx(row.expected, abs=1e-10)


def test_differences_of_temperature_have_no_offset() -> None:
    """9 °F apart is 5 °C apart (closed form), though 9 °F is -12.8 °C."""
    (row,) = rows("units", "delta_degF")
    assert convert_difference(9.0, "degF", "degC") == pytest.approx(row.expected, abs=1e-12)
    assert convert(1.0, "degC/s", "degF/s") == pytest.approx(1.8)


def test_a_difference_stays_a_difference() -> None:
    """A rise of 5 °C is one of 5 °C or of 9 °F, and a temperature is no rise (closed form)."""
    assert convert(5.0, "delta_degC", "degC") == 5.0
    assert convert(5.0, "delta_degC", "degF") == pytest.approx(9.0)
    with pytest.raises(UnitError, match="different things"):
        convert(5.0, "degC", "delta_degC")


def test_a_revolution_is_one_turn() -> None:
    """60 rpm is 1 Hz by definition, where Pint's own radian would make it 6.28 Hz."""
    (row,) = rows("units", "trap_rpm_hz")
    assert convert(60.0, "rpm", "Hz") == pytest.approx(row.expected["correct_Hz"], abs=1e-12)
    assert convert(1.0, "Hz", "rpm") == pytest.approx(60.0, abs=1e-12)
    assert convert(60.0, "rpm", "1/min") == pytest.approx(60.0, abs=1e-12)


def test_radians_still_work() -> None:
    """2400 r/min is 251.327 rad/s (2π/60 each), and half a turn is π radians."""
    (row,) = rows("units", "worked 2400")
    assert convert(2400.0, "rpm", "rad/s") == pytest.approx(row.expected["value"], rel=1e-12)
    assert convert(180.0, "deg", "rad") == pytest.approx(math.pi, rel=1e-15)
    assert convert(2 * math.pi, "rad/s", "Hz") == pytest.approx(1.0, rel=1e-15)


def test_pound_is_a_mass_and_the_error_says_what_to_write() -> None:
    """ft*lb is mass times length (dimensional analysis), so it is refused as a torque."""
    with pytest.raises(UnitError, match="measure different things") as caught:
        convert(1.0, "ft*lb", "N*m")
    assert caught.value.code == "unit-clash"
    assert "lbf*ft" in caught.value.remedy


def test_torque_and_energy_share_a_dimension_but_not_a_symbol() -> None:
    """N·m and J convert into each other, and torque is never set as J (SI Brochure 2.3.4)."""
    assert same_dimension("N*m", "J")
    assert symbol("N*m") == "N·m"


@pytest.mark.parametrize("code", sorted(CURRENCIES))
def test_no_exchange_rate_is_assumed(code: str) -> None:
    """A currency converts to itself and to no other."""
    other = "USD" if code != "USD" else "EUR"
    assert convert(3.0, code, code) == 3.0
    with pytest.raises(UnitError):
        convert(3.0, code, other)


@pytest.mark.parametrize(
    ("unit", "shown"),
    [
        ("N*m", "N·m"),
        ("N*m/EUR", "N·m/€"),
        ("EUR/(N*m)", "€/(N·m)"),
        ("lbf*ft", "lbf·ft"),
        ("lbf-ft", "lbf·ft"),
        ("N.m", "N·m"),
        ("l/min", "l/min"),
        ("L/min", "L/min"),
        ("W/(m^2*K)", "W/(m²·K)"),
        ("l/min/cm", "l/(min·cm)"),
        ("m/s**2", "m/s²"),
        ("s^-1", "s⁻¹"),
        ("s-1", "s⁻¹"),
        ("/min", "1/min"),
        ("1/min", "1/min"),
        ("rpm", "rpm"),
        ("%", "%"),
        ("percent", "%"),
        ("degC", "°C"),
        ("delta_degC", "°C"),
        ("°F", "°F"),
        ("deg", "°"),
        ("um", "µm"),
        ("newton*meter", "N·m"),
        ("ohm", "Ω"),
        ("GBP", "£"),
        ("$", "$"),
        ("", ""),
        ("1", ""),
    ],
)
def test_symbols_keep_the_written_order(unit: str, shown: str) -> None:
    """A unit is set on screen in the order it was written, with real typography."""
    assert symbol(unit) == shown


@pytest.mark.parametrize(
    "text",
    [
        "furlongs_per_fortnight", "N*", "*N", "(N", "N)", "N^0", "N^10", "N**-12", "2 m", "N,m",
        "J/kg K", "N*m/EUR*s", "pi", "π", "c", "k", "__import__", "a.b()", "N" * 81, "N\n;m", "½m",
    ],
)  # fmt: skip
def test_what_is_no_unit_is_refused(text: str) -> None:
    """Unknown names, odd grammar, constants and products below a line are one clear error."""
    with pytest.raises(UnitError) as caught:
        symbol(text)
    assert caught.value.code == "unknown-unit"
    assert caught.value.remedy


@given(st.text(max_size=30))
def test_any_text_is_a_unit_or_one_error(text: str) -> None:
    """Whatever is written, there is a symbol or a UnitError, never another exception."""
    with suppress(UnitError):
        assert symbol(text) == symbol(f" {text} ")


@given(
    st.floats(min_value=-1e9, max_value=1e9),
    st.sampled_from(SOME_UNITS),
    st.sampled_from(SOME_UNITS),
)
def test_conversion_there_and_back_is_identity(value: float, unit: str, to: str) -> None:
    """Converting to another unit and back gives the number again, or is refused both ways."""
    if same_dimension(unit, to):
        back = convert(convert(value, unit, to), to, unit)
        assert back == pytest.approx(value, rel=1e-9, abs=1e-6)
    else:
        with pytest.raises(UnitError):
            convert(value, unit, to)
        with pytest.raises(UnitError):
            convert(value, to, unit)


def test_arrays_keep_their_gaps() -> None:
    """NaN stays NaN in a converted array and nothing becomes zero."""
    found = convert_array(np.array([0.0, math.nan, 100.0]), "degC", "K")
    assert found[0] == pytest.approx(273.15)
    assert math.isnan(found[1])
    assert found[2] == pytest.approx(373.15)


@given(st.sampled_from(SOME_UNITS), st.sampled_from(SOME_UNITS))
def test_made_up_units_mean_what_they_say(a: str, b: str) -> None:
    """Products and quotients of unit texts read as products and quotients of the units."""
    assert same_dimension(per(times(a, b), b), difference_unit(a) if b else a)
    assert same_dimension(per(a, per(a, b)), difference_unit(b))


def test_offset_scales_are_known() -> None:
    """Degrees Celsius and Fahrenheit have an offset, kelvin and a slope in °C have none."""
    assert [unit for unit in SOME_UNITS if is_offset(unit)] == ["degC", "degF"]
    assert not is_offset("degC/s")
    assert difference_unit("degC") == "delta_degC"
    assert difference_unit("N*m") == "N*m"


@pytest.mark.parametrize(
    ("text", "value", "unit", "places"),
    [
        ("18.50 EUR", 18.5, "EUR", 2),
        ("6 s", 6.0, "s", 0),
        ("6s", 6.0, "s", 0),
        ("-5 degC", -5.0, "degC", 0),
        ("50%", 50.0, "%", 0),
        ("150/min", 150.0, "/min", 0),
        ("150 1/min", 150.0, "1/min", 0),
        ("1.5e3 N", 1500.0, "N", 0),
        (" 3 ", 3.0, "", 0),
    ],
)
def test_quantities_are_read(text: str, value: float, unit: str, places: int) -> None:
    """A quantity is a number, a unit, and the decimals it was written with."""
    assert Quantity.parse(text) == Quantity(value, unit, places)


@pytest.mark.parametrize(
    "text", ["", "s", "6 000 s", "18,50 EUR", "€5", "1e999 s", "nan s", "6" * 201]
)
def test_what_is_no_quantity_is_refused(text: str) -> None:
    """A missing number, a decimal comma, a thousands space and an infinite number are errors."""
    with pytest.raises(UnitError) as caught:
        Quantity.parse(text)
    assert caught.value.code in {"bad-quantity", "unknown-unit"}


def test_measured_against_claimed_converts_first() -> None:
    """148 N·m against a claim of 120 lbf·ft is 90.966 % (arithmetic on the SP 811 factor)."""
    (row,) = rows("ranking", "pct.claim")
    claimed = Quantity.parse("120 lbf*ft").to("N*m")
    expected: Any = row.expected
    assert 148.0 / claimed == pytest.approx(expected["ratio"], rel=1e-12)


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [("9 degF", "delta_degC", 5), ("5 K", "delta_degC", 5), ("5 degC", "K", 278.15)],
)
def test_a_temperature_beside_a_difference_is_one(text: str, unit: str, value: float) -> None:
    """A limit, level or band of a temperature difference is written like a temperature."""
    assert Quantity.parse(text).to(unit) == pytest.approx(value)
