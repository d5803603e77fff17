"""Events in runs whose course is known: straight lines, worked out by hand."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from overlays.errors import OutlineError, UnitError
from overlays.model.outline import Cue
from overlays.model.result import Results
from overlays.model.trace import Trace
from overlays.outline.anchors import DataEvent
from overlays.outline.events import event_s
from overlays.units import Quantity
from tests.outline.bench import make_results, make_runs, make_session, trace


def _cue(**options: Any) -> Cue:
    return Cue("drawn", "curves", "beat", 0, 100, {"test": "cold"} | options, 1, {})


@pytest.fixture
def results(tmp_path: Path) -> Results:
    """Return runs of Alder (peak at 2 s) and Dune (peak at 4 s), crossing at 3 s."""
    return make_runs(make_results(make_session(tmp_path)))


@pytest.mark.parametrize(
    ("event", "seconds"),
    [
        (DataEvent("start"), 0),
        (DataEvent("end"), 6),
        (DataEvent("peak"), 2),
        (DataEvent("peak", entries=("dune",)), 4),
        (DataEvent("lowest"), 0),
        (DataEvent("crossing"), 3),
        (DataEvent("crossing", entries=("dune", "alder")), 3),
        (DataEvent("level", level=Quantity(50.25, "N*m")), 1.005),
        (DataEvent("level", level=Quantity(0.06, "kN*m")), 1.2),
    ],
)
def test_events_are_where_the_lines_say(results: Results, event: DataEvent, seconds: float) -> None:
    """Peak, lowest, crossing and level, between samples on the straight line."""
    assert event_s(event, _cue(), results) == pytest.approx(seconds, abs=1e-9)


def test_the_cue_says_whose_run(results: Results) -> None:
    """Without entries of its own the event is one of the first entry drawn."""
    assert event_s(DataEvent("peak"), _cue(entries=["dune", "alder"]), results) == pytest.approx(4)


def test_a_cue_of_one_entry_says_whose_run(results: Results) -> None:
    """A readout reads one entry's run, and the event is one of that run."""
    cue = Cue("read", "readout", "beat", 0, 100, {"test": "cold", "entry": "dune"}, 1, {})
    assert event_s(DataEvent("peak"), cue, results) == pytest.approx(4)


def test_what_lies_before_the_trigger_is_not_shown(tmp_path: Path) -> None:
    """A peak before the trigger or after the test is none."""
    run = trace([(-1, 500), (-0.5, 0), (0, 0), (3, 30), (6, 20), (7, 400)])
    results = make_runs(make_results(make_session(tmp_path)), {"alder": run})
    assert event_s(DataEvent("peak"), _cue(), results) == pytest.approx(3)


def test_ripple_is_no_crossing(tmp_path: Path) -> None:
    """Lines that touch for less than 2 % of what is in view do not cross there."""
    first = trace([(0, 1), (6, 66)])
    ripple = 10 * first.time_s + 1.5 * np.sin(40 * first.time_s)
    second = Trace("torque", "N*m", first.time_s.copy(), ripple)
    results = make_runs(make_results(make_session(tmp_path)), {"alder": first, "dune": second})
    with pytest.raises(OutlineError, match="never cross"):
        event_s(DataEvent("crossing"), _cue(), results)


def test_gaps_in_a_run_are_stepped_over(tmp_path: Path) -> None:
    """Missing samples are neither peaks nor levels."""
    run = trace([(0, 0), (3, 30), (6, 20)])
    values = run.values.copy()
    values[250:320] = np.nan
    holed = Trace("torque", "N*m", run.time_s.copy(), values)
    results = make_runs(make_results(make_session(tmp_path)), {"alder": holed})
    assert event_s(DataEvent("peak"), _cue(), results) == pytest.approx(3.2)
    level = DataEvent("level", level=Quantity(27.0, "N*m"))
    assert event_s(level, _cue(), results) == pytest.approx(3.2)


@pytest.mark.parametrize(
    ("event", "cue", "match"),
    [
        (DataEvent("level", level=Quantity(500, "N*m")), _cue(), "never reaches"),
        (DataEvent("crossing"), _cue(entries=["alder"]), "two entries"),
        (DataEvent("peak", entries=("fjord",)), _cue(), "no run of 'fjord'"),
        (DataEvent("peak"), _cue(channel="temp"), "no run"),
        (DataEvent("peak"), _cue(test="none"), "draws no run"),
        (DataEvent("peak"), _cue(test=3), "draws no run"),
    ],
)
def test_what_does_not_happen_is_told(
    results: Results, event: DataEvent, cue: Cue, match: str
) -> None:
    """An event that never comes is an error that says why."""
    with pytest.raises(OutlineError, match=match) as caught:
        event_s(event, cue, results)
    assert (caught.value.code, caught.value.field) == ("no-event", "event")


def test_a_level_has_to_be_of_the_channels_kind(results: Results) -> None:
    """A level in another dimension is refused."""
    with pytest.raises(UnitError):
        event_s(DataEvent("level", level=Quantity(3, "kg")), _cue(), results)


def test_a_run_without_samples_has_no_events(tmp_path: Path) -> None:
    """A run that ends before its trigger has nothing to wait for."""
    run = trace([(-3, 0), (-1, 30)])
    results = make_runs(make_results(make_session(tmp_path)), {"alder": run})
    with pytest.raises(OutlineError, match="no samples"):
        event_s(DataEvent("peak"), _cue(), results)
