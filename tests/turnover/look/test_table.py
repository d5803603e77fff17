"""The figures of every run, side by side."""

from __future__ import annotations

from overlays.model.result import Results
from overlays.turnover.look.seen import SeenPlace
from overlays.turnover.look.table import figure_rows, run_remark

Places = dict[str, SeenPlace]


def test_there_is_a_row_a_figure_and_a_cell_a_run(results: Results, places: Places) -> None:
    """The main figure first; numbers with the decimals and the mark of the session."""
    rows = figure_rows(results, places["hemp"])
    assert [row.label for row in rows] == [
        "held per price", "furthest", "held", "to 20 N", "after 2.5 s",
    ]  # fmt: skip
    assert [row.main for row in rows] == [True, False, False, False, False]
    assert [row.unit for row in rows] == ["N/€", "mm", "N", "s", "N"]
    held = results.figures["held", "hemp"]
    assert rows[2].cells == tuple(f"{v:.1f}".replace(".", ",") for v in held.repeats if v)
    assert held.spread is not None
    assert rows[2].spread == f"{held.spread:.1f}".replace(".", ",")


def test_the_shown_number_stands_in_the_medians_column(results: Results, places: Places) -> None:
    """The cell of the median run is what every overlay shows."""
    for entry in ("hemp", "sisal"):
        place = places[entry]
        (column,) = (i for i, seen in enumerate(place.runs) if seen.median)
        for row, key in zip(
            figure_rows(results, place),
            ("per_price", "furthest", "held", "to_twenty", "late"),
            strict=True,
        ):
            assert row.cells[column] == results.figures[key, entry].shown.replace(".", ",")


def test_left_out_numbers_stand_in_brackets_and_missing_ones_are_dashes(
    results: Results, places: Places
) -> None:
    """Nobody takes a left-out number for one that counts, nor nothing for zero."""
    rows = {row.label: row for row in figure_rows(results, places["sisal"])}
    assert rows["held"].cells[2].startswith("(")
    assert rows["held"].cells[2].endswith(")")
    lacking = [key for key, value in places["sisal"].runs[1].values.items() if value.value is None]
    assert lacking
    for key in lacking:
        assert rows[results.session.spec.figures[key].label].cells[1] == "–"
    assert all(set(row.cells) == {"–"} for row in figure_rows(results, places["jute"]))


def test_a_run_is_called_what_it_is(places: Places) -> None:
    """The median, left out, without a trace, or nothing in particular."""
    sisal = [run_remark(seen) for seen in places["sisal"].runs]
    assert sorted(sisal) == ["", "left out", "median"]
    assert [run_remark(seen) for seen in places["jute"].runs] == ["no trace", "left out"]
