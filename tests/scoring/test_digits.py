"""Digits that go with how sure a figure is."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.errors import Problems
from overlays.model.result import Results
from overlays.scoring.digits import (
    poor_digits,
    supported_places,
    told,
    warn_of_digits,
    with_uncertainty,
)
from overlays.scoring.trust import trust_of
from tests.scoring.building import TOML, results, session

ONE_PLACE = TOML.replace('"mean"', '"mean"\nplaces = 1')


def found(ash: list[float], birch: list[float] | None = None, *, toml: str = TOML) -> Results:
    """Return results of the test ``hold``."""
    values = {("ash", "hold"): ash, ("birch", "hold"): birch or []}
    return results(session(toml=toml), values, Problems())


@pytest.mark.parametrize(
    ("uncertainty", "places"),
    [
        (0.34, 2), (1.2, 1), (9.9, 1), (16.0, 0), (230.0, -1), (0.0012, 4), (1.0, 1), (10.0, 0),
        (0.0996, 2), (9.96, 0), (99.6, -1),
    ],
)  # fmt: skip
def test_two_significant_digits_are_supported(uncertainty: float, places: int) -> None:
    """GUM 7.2.6: an uncertainty has at most two significant digits, and the value follows it."""
    assert supported_places(uncertainty) == places


@given(st.floats(1e-6, 1e6))
def test_supported_places_leave_two_digits(uncertainty: float) -> None:
    """Rounded there, an uncertainty keeps two digits: ten to a hundred units of the last place."""
    units = uncertainty * 10.0 ** supported_places(uncertainty)
    assert 9.9 < units < 99.51


def test_gum_example_is_written_as_the_gum_writes_it() -> None:
    """GUM 7.2.6: y = 10.057 62 Ω with u = 27 mΩ is rounded to 10.058 Ω; here with u expanded."""
    of = found([10.05762 - 0.0109, 10.05762, 10.05762 + 0.0109])
    trust = trust_of(of, "held", "ash")
    assert trust.expanded == pytest.approx(0.0271, abs=1e-4)
    assert told(of, trust) == ("10.058", "0.027")


@pytest.mark.parametrize(
    ("repeats", "pair", "text"),
    [
        ([99.0, 100.0, 101.0], ("100.0", "2.5"), "100.0 ± 2.5 N"),
        ([80.0, 100.0, 120.0], ("100", "50"), "100 ± 50 N"),
        # t = 12.7 for two runs; 10 N is the last place, in plain decimals.
        ([528.0, 504.0], ("500", "150"), "500 ± 150 N"),
        ([100.0], ("100.0", ""), "100.0 N"),
        ([100.0, 100.0], ("100.0", ""), "100.0 N"),
        ([100.0, math.nextafter(100.0, 101)], ("100.0", ""), "100.0 N"),
    ],
)
def test_value_and_uncertainty_stop_at_one_place(
    repeats: list[float], pair: tuple[str, str], text: str
) -> None:
    """Plain decimals, two digits of the uncertainty, and none where there is no telling."""
    of = found(repeats, toml=ONE_PLACE)
    trust = trust_of(of, "held", "ash")
    assert told(of, trust) == pair
    assert with_uncertainty(of, trust) == text
    assert with_uncertainty(of, trust_of(of, "held", "birch")) == "–"


@pytest.mark.parametrize(
    ("ash", "birch", "shown"),
    [
        ([99.0, 100.0, 101.0], [], ["100.0", "–"]),
        ([99.9, 100.0, 100.1], [99.99, 100.0, 100.01], ["100.00", "100.00"]),
        # The least certain entry decides for all.
        ([80.0, 100.0, 120.0], [99.99, 100.0, 100.01], ["100", "100"]),
        ([528.0, 504.0], [], ["504", "–"]),
        ([100.0], [99.0], ["100.0", "99.0"]),
    ],
)
def test_digits_follow_the_uncertainty_where_none_are_declared(
    ash: list[float], birch: list[float], shown: list[str]
) -> None:
    """All entries of a figure get the same decimals, never less than none; 1 if nothing repeats."""
    of = found(ash, birch)
    assert [of.figures["held", entry].shown for entry in ("ash", "birch")] == shown
    assert poor_digits(of) == {}
    assert found(ash, birch, toml=ONE_PLACE).figures["held", "ash"].places == 1


@pytest.mark.parametrize(("places", "claims"), [(1, "1 decimal,"), (2, "2 decimals,")])
def test_too_many_digits_are_told(places: int, claims: str) -> None:
    """A figure declared to 0.1 N that is known to ±50 N is a warning with its line."""
    toml = ONE_PLACE.replace("places = 1", f"places = {places}")
    problems = Problems()
    warn_of_digits(found([80.0, 100.0, 120.0], toml=toml), problems)
    (warning,) = problems.found
    assert warning.code == "too-many-digits"
    assert warning.message.startswith(f"held is shown with {claims} more than")
    assert warning.message.endswith("(95 %): ash 100 ± 50 N.")
    assert warning.remedy.startswith("Show no decimals, leave places out")


def test_a_figure_without_decimals_is_not_told_to_show_none() -> None:
    """Where no decimal is left to take away, the remedy is another one."""
    problems = Problems()
    toml = ONE_PLACE.replace("places = 1", "places = 0")
    warn_of_digits(found([100.0, 300.0, 500.0], toml=toml), problems)
    (warning,) = problems.found
    assert warning.message.startswith("held is shown with no decimals, more than")
    assert warning.remedy == "Round it where it is said, or run more repeats."


def test_digits_that_hold_or_are_explained_are_not_told() -> None:
    """Enough certainty, no declared decimals, or a warning that has told why: nothing to say."""
    quiet = Problems()
    warn_of_digits(found([99.0, 100.0, 101.0], toml=ONE_PLACE), quiet)
    warn_of_digits(found([80.0, 100.0, 120.0]), quiet)
    rough = found([80.0, 100.0, 120.0], toml=ONE_PLACE)
    warn_of_digits(rough, quiet, explained={("held", "ash")})
    assert quiet.found == []
