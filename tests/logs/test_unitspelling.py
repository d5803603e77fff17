from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.logs.unitspelling import is_known, spelt


@pytest.mark.parametrize(
    ("written", "unit"),
    [
        ("PSI", "psi"),
        ("psig", "psi"),
        ("PSI(g)", "psi"),
        ("bar (abs)", "bar"),
        ("KN", "kN"),
        ("NM", "N*m"),
        ("MPA", "MPa"),
        ("Volts", "V"),
        ("deg C", "degC"),
        ("° F", "degF"),
        ("m/s2", "m/s^2"),
        ("N/mm2", "N/mm^2"),
        ("m3/h", "m^3/h"),
        ("in H2O", "inH2O"),
    ],
)
def test_habits_of_loggers(written: str, unit: str) -> None:
    """Capitals, words, gauge letters and powers without a mark are no other units."""
    assert spelt(written) == unit


@pytest.mark.parametrize(
    "text", ["psi", "mPa", "MPa", "kn", "kN", "C", "N*m", "m/s²", "raw", "", "mpa", "CH1"]
)
def test_left_as_they_are(text: str) -> None:
    """What is known already, could be two units, or is none, comes back as it is."""
    assert spelt(text) == text


@given(st.text(max_size=24))
def test_any_text_is_spelt(text: str) -> None:
    """No text breaks it, and what is changed is a unit."""
    assert spelt(text) == text or is_known(spelt(text))
