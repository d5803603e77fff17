"""Units in words, both ways."""

from __future__ import annotations

import pytest

from overlays.outline.speech.unit_words import lexicon, spoken_unit


@pytest.mark.parametrize(
    ("unit", "several", "one"),
    [
        ("N*m", "newton metres", "newton metre"),
        ("N·m", "newton metres", "newton metre"),
        ("N*m/EUR", "newton metres per euro", "newton metre per euro"),
        ("s", "seconds", "second"),
        ("%", "percent", "percent"),
        ("degC", "degrees Celsius", "degree Celsius"),
        ("delta_degC", "degrees Celsius", "degree Celsius"),
        ("lbf*ft", "pound-feet", "pound-foot"),
        ("l/min", "litres per minute", "litre per minute"),
        ("W/(m^2*K)", "watts per square metre kelvin", "watt per square metre kelvin"),
        ("m^3", "cubic metres", "cubic metre"),
        ("", "", ""),
    ],
)
def test_units_are_spoken(unit: str, several: str, one: str) -> None:
    """Names as in the SI Brochure (9th edition) and NIST SP 811, plural for other than one."""
    assert spoken_unit(unit) == several
    assert spoken_unit(unit, one=True) == one


def test_a_unit_without_a_name_stays_a_symbol() -> None:
    """What has no name in the table is not left out."""
    assert spoken_unit("T*m") == "T metres"


@pytest.mark.parametrize(
    ("words", "taken", "units"),
    [
        ("newton metres down", 2, ("N*m",)),
        ("newton meters per euro", 4, ("N*m/EUR",)),
        ("newton metre a euro", 4, ("N*m/EUR",)),
        ("foot pounds", 2, ("lbf*ft",)),
        ("per cent", 2, ("%",)),
        ("kilos", 1, ("kg",)),
        ("degrees cooler", 1, ("degC", "degF")),
        ("amp hours", 2, ("Ah",)),
        ("kilometres an hour", 3, ("km/h",)),
        ("bananas", 0, ()),
        ("", 0, ()),
    ],
)
def test_units_are_understood(words: str, taken: int, units: tuple[str, ...]) -> None:
    """The longest name wins, in either spelling; words of several units keep them all."""
    assert lexicon(["N*m", "N*m/EUR", "EUR", "degC"]).read(words.split()) == (taken, units)


def test_the_sessions_own_units_come_first() -> None:
    """Where a word means several units, that of the session is tried first."""
    assert lexicon(["degF"]).read(["degrees"])[1][0] == "degF"
    assert lexicon(["GBP"]).read(["pounds"])[1][0] == "GBP"


@pytest.mark.parametrize(
    ("symbol", "unit"),
    [("N·m", "N*m"), ("Nm", "N*m"), ("€", "EUR"), ("EUR", "EUR"), ("°C", "degC"), ("%", "%")],
)
def test_symbols_are_understood(symbol: str, unit: str) -> None:
    """Units are known by how they are set, how they are written, and without their dots."""
    assert lexicon(["N*m", "EUR", "degC", "%"]).symbols[symbol] == (unit,)
