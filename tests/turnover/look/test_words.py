"""What is said of a place, in sentences."""

from __future__ import annotations

import statistics
from dataclasses import replace

from overlays.model.result import Results
from overlays.turnover.look.seen import SeenPlace
from overlays.turnover.look.view import TestView
from overlays.turnover.look.words import LEADS, words_of

Places = dict[str, SeenPlace]


def test_flags_come_first_and_everything_is_a_sentence(
    results: Results, view: TestView, places: Places
) -> None:
    """Sentences begin large and end with a stop; every kind has a lead."""
    for place in places.values():
        words = words_of(results, view, place)
        kinds = [word.kind == "flag" for word in words]
        assert kinds == sorted(kinds, reverse=True)
        for word in words:
            assert word.text[0] == word.text[0].upper()
            assert word.text.endswith((".", "?"))
            assert word.kind in LEADS


def test_a_left_out_run_carries_its_reason(
    results: Results, view: TestView, places: Places
) -> None:
    """In the bench's words; that there is none is said too."""
    words = words_of(results, view, places["sisal"])
    assert [w.text for w in words if w.kind == "left out"] == ["Run 3: The knot slipped."]
    *used, left_out = places["sisal"].runs
    silent = replace(left_out, ref=replace(left_out.ref, note=""))
    words = words_of(results, view, replace(places["sisal"], runs=(*used, silent)))
    assert [w.text for w in words if w.kind == "left out"] == ["Run 3: no reason is given."]


def test_the_benchs_remarks_on_used_runs_are_shown(
    results: Results, view: TestView, places: Places
) -> None:
    """A remark is no flag."""
    words = words_of(results, view, places["hemp"])
    assert [w.text for w in words if w.kind == "note"] == ["Run 2: Creaks a little."]


def test_scatter_is_told_with_one_decimal_more_than_the_figure(
    results: Results, view: TestView, places: Places
) -> None:
    """Mean and standard deviation are those of the standard library, with the decimal comma."""
    (text,) = (w.text for w in words_of(results, view, places["hemp"]) if w.kind == "runs")
    values = [value for value in results.figures["per_price", "hemp"].repeats if value is not None]
    mean, s = statistics.fmean(values), statistics.stdev(values)
    for number in (mean, s):
        assert f"{number:.2f} N/€".replace(".", ",") in text
    assert text.startswith("Held per price: mean ")
    assert "once in twenty" in text


def test_a_rule_that_is_met_is_told_without_a_flag(
    results: Results, view: TestView, places: Places
) -> None:
    """What the bench planned to accept is confirmed in words."""
    judged = places["hemp"].judged
    assert judged is not None
    met = replace(judged, accepted=True, why="3 valid runs")
    words = words_of(results, view, replace(places["hemp"], judged=met))
    assert "The repeats meet the test's rule: 3 valid runs." in [word.text for word in words]
    assert not any(word.kind == "flag" for word in words)


def test_where_no_run_is_used_nothing_is_said_of_scatter(
    results: Results, view: TestView, places: Places
) -> None:
    """Jute has flags and reasons, but no mean of nothing."""
    words = words_of(results, view, places["jute"])
    assert not any(word.kind == "runs" for word in words)
    assert any(word.text == "Run 2: Nothing on it." for word in words)
