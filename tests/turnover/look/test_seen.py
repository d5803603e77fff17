"""Every run is seen: used, left out, unreadable."""

from __future__ import annotations

import shutil
from pathlib import Path

from overlays.model.result import Results
from overlays.turnover.look.seen import SeenPlace, own_figures, see_runs
from tests.turnover.look.building import RUNS, results_in, write_session

Places = dict[str, SeenPlace]


def test_every_run_of_the_session_is_seen_once_in_order(results: Results) -> None:
    """Test by test, entry by entry, by repeat; places without a run are there too."""
    places = see_runs(results)
    assert [(place.test, place.entry) for place in places] == [
        (test, entry) for test in ("pull", "rest") for entry in ("hemp", "sisal", "jute")
    ]
    seen = [run.ref for place in places for run in place.runs]
    assert seen == list(results.session.runs)
    assert [len(place.runs) for place in places] == [3, 3, 2, 0, 0, 0]


def test_a_left_out_run_is_conditioned_for_showing(results: Results, places: Places) -> None:
    """It has traces in the units shown, with time 0 at the trigger, and figures of its own."""
    left_out = places["sisal"].runs[2]
    assert not left_out.ref.use
    assert left_out.run is not None
    trace = left_out.run.traces["force"]
    assert trace.time_s[0] < -0.9
    assert "zeroed" in trace.steps[0]
    value = left_out.values["held"].value
    assert value is not None
    assert value < 30
    assert all(run.ref.use for run in results.repeats["sisal", "pull"].runs)


def test_used_runs_are_those_of_the_results(results: Results, places: Places) -> None:
    """Traces are the very ones the figures come from, and so are the figures."""
    repeats = results.repeats["hemp", "pull"]
    assert tuple(seen.run for seen in places["hemp"].runs) == repeats.runs
    for key in ("held", "per_price", "to_twenty", "furthest"):
        own = tuple(seen.values[key].value for seen in places["hemp"].runs)
        assert own == results.figures[key, "hemp"].repeats


def test_the_median_is_the_run_that_is_shown(results: Results, places: Places) -> None:
    """Exactly one run of a place is the median, the one the results name."""
    for entry in ("hemp", "sisal"):
        medians = [seen.ref for seen in places[entry].runs if seen.median]
        assert medians == [results.repeats[entry, "pull"].median_run.ref]
    assert places["sisal"].remark == "lower middle of 2"
    assert places["hemp"].remark == ""


def test_a_log_that_cannot_be_read_is_told_in_words(places: Places) -> None:
    """A picture for a log and an empty file raise nothing, and say what they are."""
    unreadable, empty = places["jute"].runs
    assert unreadable.run is None
    assert "picture" in unreadable.why
    assert empty.run is None
    assert "empty" in empty.why
    assert places["jute"].used == 0
    assert places["jute"].judged is None
    assert (unreadable.values, unreadable.notes) == ({}, ())


def test_every_readable_log_brings_its_reading_note(places: Places) -> None:
    """The reading note is that of the log itself: only one has a line above its header."""
    notes = [[note.message for note in seen.notes] for seen in places["hemp"].runs]
    assert all(any("encoding" in message for message in found) for found in notes)
    above = [any("passed over" in message for message in found) for found in notes]
    assert above == [False, False, True]


def test_the_main_figure_stands_first(results: Results) -> None:
    """Then the others in the session's order; figures of another test are not there."""
    assert own_figures(results, "pull") == ("per_price", "furthest", "held", "to_twenty", "late")
    assert own_figures(results, "rest") == ("resting",)


def test_progress_is_told_for_every_run(results: Results) -> None:
    """The last call says that all are done."""
    told: list[tuple[int, int, str]] = []
    see_runs(results, progress=lambda *call: told.append(call))
    assert told[-1] == (8, 8, "runs")
    assert len(told) == 8


def test_left_out_runs_of_one_number_keep_their_own_figures(tmp_path: Path) -> None:
    """A used run 1 and two left-out ones called 1 are three columns with three values."""
    folder = write_session(tmp_path / "ropes")
    for name, source in (("x", "hemp_3"), ("y", "sisal_1")):
        shutil.copy(folder / "logs" / f"{source}.csv", folder / "logs" / f"{name}.csv")
    more = "".join(f"hemp,pull,1,logs/{name}.csv,wrong rope,no\n" for name in "xy")
    (folder / "runs.csv").write_text(RUNS + more, encoding="utf-8")
    hemp = see_runs(results_in(folder))[0]
    assert [(seen.ref.repeat, seen.ref.use) for seen in hemp.runs] == [
        (1, True), (1, False), (1, False), (2, True), (3, True),
    ]  # fmt: skip
    values = [seen.values["held"].value for seen in hemp.runs[:3]]
    assert len(set(values)) == 3
