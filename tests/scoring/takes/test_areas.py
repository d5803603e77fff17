"""Area, impulse, work; and the certified traces."""

from __future__ import annotations

import csv
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from overlays.errors import FigureError
from overlays.model.trace import Trace
from tests.outside import Row, rows
from tests.scoring.building import is_close, seconds, taken, trace

TRACES = Path(__file__).parents[2] / "data" / "traces"


def certified(name: str) -> Trace:
    """Return a certified force record, with the origin put in front as its makers mean it."""
    with (TRACES / f"{name}.csv").open(encoding="utf-8") as lines:
        samples = [(float(row["time_s"]), float(row["force_N"])) for row in csv.DictReader(lines)]
    times, numbers = zip((0.0, 0.0), *samples, strict=True)
    return trace(numbers, time_s=times)


@pytest.mark.parametrize("row", rows("traces"), ids=lambda row: row.id)
def test_certified_traces_are_recomputed(row: Row) -> None:
    """Impulse, peak, times and means agree with an independent computation to 1e-9."""
    one, expected = certified(row.id), row.expected["recomputed"]
    length: dict[str, Any] = {"length_s": float(one.time_s[-1])}
    burn = {"take": "time_above", "level": "5 %", "count": "first to last"}
    impulse = taken({"take": "impulse"}, one, **length)
    assert is_close(impulse, expected["impulse_trapz_Ns"], "N*s")
    assert taken({"take": "peak"}, one)[0] == pytest.approx(expected["peak_N"], rel=1e-9)
    assert taken(burn, one)[0] == pytest.approx(expected["duration_5pct_s"], rel=1e-9)
    assert taken({"take": "mean"}, one, **length)[0] == pytest.approx(
        expected["avg_over_record_N"], rel=1e-9
    )
    half = {"take": "time_to", "level": "50 %"}
    assert taken(half, one)[0] == pytest.approx(expected["t_to_half_peak_s"], rel=1e-9)
    for share, force in zip(
        (0.25, 0.5, 0.75), expected["F_at_25_50_75pct_of_record_N"], strict=True
    ):
        at = {"take": "at", "at": seconds(share * one.time_s[-1])}
        assert taken(at, one)[0] == pytest.approx(force, rel=1e-9)


# What each record allows against the published figure: A is the best, E and F are coarse.
PUBLISHED = [
    ("item_A_thrust", 0.0001, 0.0001),
    ("item_B_thrust", 0.001, 0.007),
    ("item_E_thrust", 0.035, 0.001),
    ("item_F_thrust", 0.012, 0.12),
    ("item_G2_thrust", 0.004, 0.004),
]


@pytest.mark.parametrize(("name", "impulse_tol", "peak_tol"), PUBLISHED)
def test_certified_traces_meet_their_published_figures(
    name: str, impulse_tol: float, peak_tol: float
) -> None:
    """Impulse and peak agree with the certification body's figures, as far as the record allows."""
    (row,) = rows("traces", name)
    published = row.expected["published"]
    one = certified(name)
    impulse, _ = taken({"take": "impulse"}, one)
    assert impulse == pytest.approx(published["impulse_Ns"], rel=impulse_tol)
    assert taken({"take": "peak"}, one)[0] == pytest.approx(published["peak_N"], rel=peak_tol)


def test_a_record_that_contradicts_itself_is_noticed() -> None:
    """H's published burn time and its record differ by half: agreement is not automatic."""
    (row,) = rows("traces", "item_H")
    burn = {"take": "time_above", "level": "5 %", "count": "first to last"}
    found, _ = taken(burn, certified("item_H_thrust"))
    assert abs(found / row.expected["published"]["burn_s"] - 1) > 0.4


def test_the_area_of_a_parabola_converges_as_trapezoids_do() -> None:
    """Trapezoids of x² over n steps overshoot 1/3 by exactly 1/(6 n²) (closed form)."""
    times = np.linspace(0, 1, 11)
    found, unit = taken({"take": "area"}, trace(times**2, time_s=times), length_s=1.0)
    assert found == pytest.approx(1 / 3 + 1 / 600, rel=1e-12)
    assert unit == "N*s"


def test_an_area_under_degrees_celsius_is_refused() -> None:
    """A scale without a true zero has no area under it."""
    with pytest.raises(FigureError, match="no true zero"):
        taken({"take": "area"}, trace([20.0, 20.0], unit="degC"))


def test_an_impulse_is_of_force_or_torque() -> None:
    """Kilonewtons give N·s, torque gives N·m·s, a length is refused."""
    assert is_close(taken({"take": "impulse"}, trace([2.0, 2.0], unit="kN")), 2000.0, "N*s")
    assert taken({"take": "impulse"}, trace([2.0, 2.0], unit="N*m")) == (2.0, "N*m*s")
    with pytest.raises(FigureError, match="force or a torque"):
        taken({"take": "impulse"}, trace([2.0, 2.0], unit="mm"))


def along(values: list[float], unit: str) -> Trace:
    return trace(values, unit=unit, channel="along")


WORK = {"take": "work", "along": "along"}
ROTATION = 2 * math.pi


@pytest.mark.parametrize(
    ("load", "unit", "way", "way_unit", "joules"),
    [
        ([10.0, 10.0], "N", [0.0, 2.0], "m", 20.0),
        ([10.0, 10.0], "N", [0.0, 200.0], "cm", 20.0),
        ([10.0, 10.0], "N", [3.0, 3.0], "m/s", 30.0),
        ([10.0, 10.0], "N*m", [0.0, 1.0], "rev", 10.0 * ROTATION),
        ([10.0, 10.0], "N*m", [0.0, 180.0], "deg", 10.0 * math.pi),
        ([150.0, 150.0], "N*m", [2400.0, 2400.0], "rpm", 37699.11184307752),
        ([1.0, 3.0], "kN", [0.0, 1.0], "m", 2000.0),
    ],
)
def test_work_along_a_way_an_angle_or_a_speed(
    load: list[float], unit: str, way: list[float], way_unit: str, joules: float
) -> None:
    """Force times way, torque times angle in radians, and power over time, all in joules.

    150 N·m at 2400 r/min is 37.7 kW (P = T ω), an outside row.
    """
    (row,) = rows("units", "power_from_torque")
    assert row.expected["W"] == pytest.approx(37699.11184307752)
    found = taken(WORK, trace(load, unit=unit), along(way, way_unit))
    assert is_close(found, joules, "J", rel=1e-12)


def test_work_of_a_power() -> None:
    """Two kilowatts for a second are 2000 J."""
    assert taken({"take": "work"}, trace([2.0, 2.0], unit="kW"))[0] == pytest.approx(2000.0)


@pytest.mark.parametrize(
    ("spec", "unit", "way_unit"),
    [({"take": "work"}, "N", "m"), (WORK, "N", "rad"), (WORK, "N*m", "m/s"), (WORK, "V", "m")],
)
def test_work_needs_units_that_allow_it(spec: dict[str, str], unit: str, way_unit: str) -> None:
    """A force alone, a force along an angle or a torque along a way is no work."""
    with pytest.raises(FigureError) as caught:
        taken(spec, trace([1.0, 1.0], unit=unit), along([0.0, 1.0], way_unit))
    assert caught.value.code == "unit-clash"
