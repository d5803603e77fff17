"""What references stand for, worked out by hand."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import pytest

from overlays.errors import OutlineError, UnitError
from overlays.model.result import Results
from overlays.outline.reference import parse_reference
from overlays.outline.value import Value, resolve
from tests.outline.bench import make_results, make_session

ALDER, DUNE = ("cold_mean", "alder"), ("cold_mean", "dune")


@pytest.fixture
def results(tmp_path: Path) -> Results:
    """Return the results of the little bench."""
    return make_results(make_session(tmp_path))


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("alder cold_mean", Value(86.44, "N*m", 1, (ALDER,))),
        ("alder price", Value(18.5, "EUR", 2, ())),
        ("alder mass", Value(21, "g", 0, ())),
        ("alder cold_mean minus dune cold_mean", Value(6.3, "N*m", 1, (ALDER, DUNE))),
        ("alder cold_mean over dune cold_mean", Value(86.44 / 80.06, "", 2, (ALDER, DUNE))),
        ("alder cold_mean over dune cold_mean in %", Value(8644 / 80.06, "%", 0, (ALDER, DUNE))),
        ("alder cold_mean against dune cold_mean", Value(638 / 80.06, "%", 0, (ALDER, DUNE))),
        ("dune cold_mean over dune price", Value(80.06 / 12, "N*m/EUR", 2, (DUNE,))),
        ("alder cold_mean over alder cold_mean", Value(1, "", 2, (ALDER,))),
        # 1 lbf·ft = 1.3558179483314004 N·m (NIST SP 811, appendix B.8)
        ("alder cold_mean in lbf*ft", Value(86.44 / 1.3558179483314004, "lbf*ft", 1, (ALDER,))),
        # A difference of temperatures has no offset: 249 less 231 °C are 18 K, 32.4 °F
        # (NIST SP 811, appendix B.8).
        ("dune rotor minus alder rotor in degF",
         Value(32.4, "degF", 0, (("rotor", "dune"), ("rotor", "alder")))),
        ("alder rotor in degF", Value(231.4 * 1.8 + 32, "degF", 0, (("rotor", "alder"),))),
        ("alder cold_mean to 3 places", Value(86.44, "N*m", 3, (ALDER,))),
    ],
)  # fmt: skip
def test_values_by_hand(results: Results, text: str, expected: Value) -> None:
    """Numbers, units, decimals and the figures drawn on are as worked out by hand."""
    found = resolve(parse_reference(text), results)
    assert found.value == pytest.approx(expected.value, rel=1e-12)
    assert dataclasses.replace(found, value=expected.value) == expected


@pytest.mark.parametrize(
    ("text", "code", "said"),
    [
        ("aldre cold_mean", "unknown-entry", "'alder'"),
        ("alder colt_mean", "unknown-figure", "'cold_mean'"),
        ("alder cold_mean minus zebra cold_mean", "unknown-entry", "dune"),
        ("fjord cold_mean", "missing-figure", "Run the test"),
        ("alder cold_mean against alder price", "unlike-figures", "over"),
    ],
)
def test_what_is_not_there_is_told(results: Results, text: str, code: str, said: str) -> None:
    """An unknown name is answered with the nearest known one."""
    with pytest.raises(OutlineError) as caught:
        resolve(parse_reference(text), results)
    assert caught.value.code == code
    assert said in caught.value.remedy


def test_a_missing_figure_says_why(results: Results) -> None:
    """A figure that could not be worked out is an error with its reason, never a zero."""
    with pytest.raises(OutlineError, match="no run of the cold stop"):
        resolve(parse_reference("fjord cold_mean"), results)


def test_a_figure_left_out_of_results_is_missing(results: Results) -> None:
    """A figure of the session that an entry has no result for is missing, not unknown."""
    with pytest.raises(OutlineError, match="was not worked out"):
        resolve(parse_reference("fjord rotor"), results)


@pytest.mark.parametrize(
    "text", ["alder cold_mean in kg", "alder cold_mean minus alder price", "alder cold_mean in zog"]
)
def test_units_have_to_fit(results: Results, text: str) -> None:
    """Unknown units and units that measure something else are refused."""
    with pytest.raises(UnitError):
        resolve(parse_reference(text), results)


def test_nothing_is_divided_by_zero(tmp_path: Path) -> None:
    """A ratio to zero is an error."""
    results = make_results(make_session(tmp_path), {DUNE: 0.0})
    with pytest.raises(OutlineError, match="is zero") as caught:
        resolve(parse_reference("alder cold_mean over dune cold_mean"), results)
    assert caught.value.code == "ratio-to-zero"
