"""Figures and standings as scripts and people read them."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace

import pytest

from overlays.errors import Problems
from overlays.model.result import Results
from overlays.scoring.results import results_of_runs
from overlays.scoring.standings import season_standings, standings_as_of
from overlays.scoring.tables import figures_text, standings_text
from tests.scoring.building import TOML, flat_run, ledger_row, results, session

POINTS = '[points.held]\nlabel = "holding"\nfigure = "held"\nmost = 60\n'
LEDGER = [ledger_row(1, "cedar", "held", "25.0"), ledger_row(2, "ash", "held", "20.0")]
COMMA = TOML.replace('rate = "25"', 'rate = "25"\ndecimal_mark = ","')


def found(*, toml: str = TOML) -> Results:
    one = session(POINTS, toml=toml)
    own = results(one, {("ash", "hold"): [49.0, 50.0, 51.0]}, Problems())
    return replace(own, standings=season_standings(one, own.figures, LEDGER, Problems()))


def test_figures_have_the_promised_keys() -> None:
    """The JSON of the contract, key by key, a missing figure being null and never zero."""
    document = json.loads(figures_text(found(), "json"))
    by_place = {(item["figure"], item["entry"]): item for item in document["figures"]}
    item = by_place["held", "ash"]
    uncertainty = item.pop("uncertainty")
    assert uncertainty["told"] == "50.0 ± 2.5 N"
    assert uncertainty["type_a"] == pytest.approx(1 / 3**0.5)
    assert uncertainty["expanded"] == pytest.approx(4.302652729749462 / 3**0.5)
    assert item == {
        "figure": "held",
        "entry": "ash",
        "test": "hold",
        "value": 50.0,
        "unit": "N",
        "shown": "50.0",
        "repeats": [49.0, 50.0, 51.0],
        "median_repeat": 2,
        "spread": 2.0,
        "n": 3,
        "left_out": [],
        "note": "",
    }
    missing = by_place["held", "birch"]
    assert (missing["value"], missing["shown"], missing["repeats"]) == (None, "–", [])
    assert (missing["median_repeat"], missing["spread"], missing["n"]) == (None, None, 0)


def test_standings_have_the_promised_keys() -> None:
    """The JSON of the contract: rank, entry, score, points by column, rank before."""
    document = json.loads(standings_text(found(), "json"))
    assert document == {
        "standings": [
            {
                "rank": 1,
                "entry": "ash",
                "score": 60.0,
                "points": {"held": 60.0},
                "previous_rank": 2,
            },
            {
                "rank": 2,
                "entry": "cedar",
                "score": 30.0,
                "points": {"held": 30.0},
                "previous_rank": 1,
            },
            {
                "rank": None,
                "entry": "birch",
                "score": None,
                "points": {"held": None},
                "previous_rank": None,
            },
        ]
    }


def test_the_sessions_own_entries_keep_their_places_in_the_season() -> None:
    """Without the rest of the season the ranks are still those of the season."""
    text = standings_text(found(), "csv", season=False)
    assert text.splitlines() == [
        "rank,before,entry,holding,score",
        "1,2,Ash,60.0,60.0",
        "–,–,Birch,–,–",
    ]


def test_standings_of_another_moment_can_be_told() -> None:
    """An earlier episode's table in the same form."""
    of = found()
    earlier = standings_as_of(of.session, LEDGER, 1, Problems())
    text = standings_text(of, "csv", standings=earlier)
    assert text.splitlines()[1:] == ["1,–,Cedar,60.0,60.0"]


def test_figures_as_a_table_show_repeats_and_their_number() -> None:
    """Every repeat, the run shown, and how many of the planned runs there are."""
    rows = list(csv.DictReader(io.StringIO(figures_text(found(), "csv"))))
    ash = next(row for row in rows if (row["figure"], row["entry"]) == ("held", "ash"))
    assert (ash["value"], ash["unit"], ash["repeats"]) == ("50.0", "N", "49.0 50.0 51.0")
    assert ash["± (95 %)"] == "2.5"
    assert (ash["run shown"], ash["spread"], ash["n"]) == ("2", "2.0", "3/3")
    birch = next(row for row in rows if (row["figure"], row["entry"]) == ("held", "birch"))
    assert (birch["n"], birch["note"]) == ("0/3", "no run of Hold")


def test_the_note_carries_runs_left_out() -> None:
    """A run left out stands beside its figure, with the reason."""
    from overlays.scoring.results import results_of_runs

    base = session()
    kept = flat_run("ash", "hold", 1, 50.0)
    out = replace(kept.ref, repeat=2, use=False, note="lever slipped")
    of = results_of_runs(replace(base, runs=(kept.ref, out)), (kept,), Problems())
    rows = list(csv.DictReader(io.StringIO(figures_text(of, "csv"))))
    ash = next(row for row in rows if (row["figure"], row["entry"]) == ("held", "ash"))
    assert ash["note"] == "run 2 left out: lever slipped"


def test_people_get_the_sessions_decimal_mark_and_machines_the_point() -> None:
    """A comma in text and Markdown; a point in CSV and JSON."""
    of = found(toml=COMMA)
    assert "50,0" in figures_text(of, "table")
    assert "60,0" in standings_text(of, "md")
    assert "50.0" in figures_text(of, "csv")
    assert "60.0" in standings_text(of, "csv")


def test_a_difference_of_temperatures_has_a_plain_unit() -> None:
    """Scripts see degC for a spread in degrees, not our own word for it."""
    from overlays.scoring.results import results_of_runs
    from tests.scoring.building import run, trace

    more = '[figures.f]\nlabel = "f"\ntake = "range"\ntest = "hold"\n'
    warm = run("ash", "hold", 1, trace([20.0, 30.0, 30.0], unit="degC"))
    of = results_of_runs(session(more), (warm,), Problems())
    items = json.loads(figures_text(of, "json"))["figures"]
    assert next(item["unit"] for item in items if item["figure"] == "f") == "degC"


def test_a_peak_of_a_filtered_trace_says_so() -> None:
    """The filter stands beside the peak, and neither beside a mean nor beside an unfiltered one."""
    from overlays.scoring.results import results_of_runs

    more = '[figures.top]\nlabel = "top"\ntake = "peak"\ntest = "hold"\n'
    filters = '[tests.hold.filters.force]\nkind = "cfc"\nchannel_class = 60\n'
    plain = flat_run("ash", "hold", 1, 50.0)
    steps = ("zeroed", "CFC 60")
    smooth = replace(plain, traces={"force": replace(plain.traces["force"], steps=steps)})
    notes = []
    for run, tables in ((smooth, more + filters), (plain, more)):
        of = results_of_runs(session(tables), (run,), Problems())
        rows = csv.DictReader(io.StringIO(figures_text(of, "csv")))
        notes += [row["note"] for row in rows if row["entry"] == "ash"]
    assert [note for note in notes if "filtered" in note] == ["from the filtered trace: CFC 60"]


def test_runs_left_out_stand_with_their_reasons_wherever_the_figure_is() -> None:
    """In the table's note and in the JSON, also of figures made of others."""
    base = session('[figures.r]\nlabel = "r"\ntake = "ratio"\nof = "held"\nby = "pulled"\n')
    kept = [flat_run("ash", "hold", repeat, 50.0) for repeat in (1, 2)]
    kept.append(flat_run("ash", "pull", 1, 80.0))
    out = replace(kept[0].ref, repeat=3, use=False, note="Lever slipped.", line=4)
    with_refs = replace(base, runs=(*(run.ref for run in kept), out))
    problems = Problems()
    of = results_of_runs(with_refs, tuple(kept), problems)
    items = json.loads(figures_text(of, "json"))["figures"]
    told = {item["figure"]: item for item in items if item["entry"] == "ash"}
    assert told["held"]["left_out"] == [{"test": "hold", "repeat": 3, "reason": "Lever slipped."}]
    assert told["held"]["note"] == "lower middle of 2; run 3 left out: Lever slipped"
    assert told["pulled"]["left_out"] == []
    assert told["r"]["note"] == "hold: run 3 left out: Lever slipped"
    assert "run 3 left out: Lever slipped" in figures_text(of, "csv")
    few = [one.message for one in problems.found if one.code == "fewer-repeats"]
    assert few[0] == "ash has 2 of 3 runs of hold (run 3 left out: Lever slipped)."


@pytest.mark.parametrize(
    ("repeats", "cells"),
    [
        ([528.0, 504.0], ["504.0", "500", "150"]),
        ([49.0, 50.0, 51.0], ["50.0", "50.0", "2.5"]),
        ([49.97, 50.0, 50.03], ["50.0", "50.000", "0.075"]),
        ([50.0], ["50.0", "50.0", ""]),
    ],
)
def test_the_table_has_the_number_shown_and_the_number_known(
    repeats: list[float], cells: list[str]
) -> None:
    """As drawn on screen, and beside the uncertainty to the place that it supports (GUM 7.2.6)."""
    one = session(toml=TOML.replace('"mean"', '"mean"\nplaces = 1'))
    of = results(one, {("ash", "hold"): repeats}, Problems())
    header, first, *_ = csv.reader(io.StringIO(figures_text(of, "csv")))
    assert first[header.index("value") : header.index("unit")] == cells
