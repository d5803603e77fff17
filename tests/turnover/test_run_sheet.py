"""The run sheet as text, CSV and a page."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from overlays.errors import Problems
from overlays.model.run import RunRef
from overlays.model.session import Session
from overlays.scoring.run_sheet import RunSheet, run_sheet
from overlays.session.reader import read_session
from overlays.turnover.run_sheet import run_sheet_csv, run_sheet_html, run_sheet_text
from tests.turnover.building import session, unchecked

MINI = Path(__file__).parents[1] / "data" / "sessions" / "mini"


def _sheet(folder: Path, runs: tuple[RunRef, ...] = (), **told: Any) -> RunSheet:
    return run_sheet(replace(session(folder, **told), runs=runs), seed=11)


def _mini() -> Session:
    read = read_session(MINI, Problems())
    assert read is not None
    return read


def test_text_lists_runs_with_boxes_in_order_under_their_test(tmp_path: Path) -> None:
    """State, cautions, the seed, the way to log, and a tick box a run, numbered through."""
    text = run_sheet_text(_sheet(tmp_path))
    assert "Still to be run: 6 of 6 planned runs." in text
    assert text.index("Water and mains do not mix.") < text.index("Open (open)")
    assert "local codes" in text
    assert "Seed 11 gives this order again." in text
    assert "its first sample is time 0. Log for 6 s." in text
    places = re.findall(r"^\[ \] +(\d+) +(\d) +(Brook|Weir) +(\d)$", text, re.MULTILINE)
    assert [int(place) for place, *_ in places] == [1, 2, 3, 4, 5, 6]
    assert [(block, run) for _, block, _, run in places] == [(b, b) for b in "112233"]


def test_csv_reads_back_as_the_sheet(tmp_path: Path) -> None:
    """One row a run, in order, with room for what was done and noted."""
    sheet = _sheet(tmp_path)
    rows = list(csv.DictReader(io.StringIO(run_sheet_csv(sheet))))
    assert [(row["entry"], row["test"], int(row["repeat"])) for row in rows] == [
        (run.entry, run.test, run.repeat) for run in sheet.runs
    ]
    assert [row["place"] for row in rows] == ["1", "2", "3", "4", "5", "6"]
    assert {(row["done"], row["note"], row["file"]) for row in rows} == {("", "", "")}


def test_the_page_has_cautions_on_top_a_box_a_run_and_room_for_notes(tmp_path: Path) -> None:
    """The page loads nothing, and its boxes and note cells are as many as there are runs."""
    text = run_sheet_html(_sheet(tmp_path))
    assert text.index("Water and mains do not mix.") < text.index("Still to be run: 6 of 6")
    assert text.count('<span class="box"></span>') == 6
    assert text.count('<td class="notes"></td>') == 6
    assert text.count("Block ") == 3
    assert "Seed 11" in text
    for word in ("http:", "https:", "src=", "url(", "<script"):
        assert word not in text


def test_text_of_a_session_cannot_act(tmp_path: Path) -> None:
    """Markup is escaped on the page, and a terminal gets no escape sequence."""
    acting = unchecked(tmp_path, title="<b>Taps\x1b[2J</b>", cautions=("\x1b]0;x\x07Mind & <i>",))
    sheet = run_sheet(acting, seed=11)
    page, text = run_sheet_html(sheet), run_sheet_text(sheet)
    assert "&lt;b&gt;Taps&lt;/b&gt;" in page
    assert "Mind &amp; &lt;i&gt;" in page
    assert "\x1b" not in page + text


@pytest.mark.parametrize("whole", [False, True])
def test_nothing_left_is_said_and_the_whole_plan_can_be_listed(whole: bool) -> None:  # noqa: FBT001 (a case)
    """The tests' second session has all its runs; the plan lists them with their log's name."""
    sheet = run_sheet(_mini(), whole=whole)
    for text in (run_sheet_text(sheet), run_sheet_html(sheet)):
        assert "Nothing is left to be run: all 8 planned runs are there and used." in text
        assert ("The whole plan is listed" in text) is whole
        assert ("logs/weir_open_1.csv" in text) is whole
        assert ("Seed" in text) is whole
    assert len(run_sheet_csv(sheet).splitlines()) == (9 if whole else 1)


def test_the_way_to_log_follows_zero_window_and_trigger() -> None:
    """A zero window asks for a lead, a trigger alone for a little, a window after for more."""
    text = run_sheet_text(run_sheet(_mini(), whole=True))
    assert "Start the logger at least 0.6 s before the test, and let it run for 3 s after." in text
    assert "Start the logger a little before the test" in text
    of = _mini()
    test = of.spec.tests["open"]
    assert test.zero is not None
    after = type(test.zero).model_validate(
        {
            "start": "-1 s",
            "end": "0 s",
            "channels": ["flow"],
            "after_start": "4 s",
            "after_end": "5 s",
        }
    )
    tests = dict(of.spec.tests) | {"open": test.model_copy(update={"zero": after})}
    of = replace(of, spec=of.spec.model_copy(update={"tests": tests}))
    text = run_sheet_text(run_sheet(of, whole=True))
    assert "at least 1 s before the test, and let it run for 5 s after." in text


def test_a_run_left_out_is_to_be_made_again(tmp_path: Path) -> None:
    """Five runs used and one left out leave one to make, under a number of its own."""
    refs = tuple(
        RunRef(e, "open", n, tmp_path, "x.csv", "slipped", (e, n) != ("weir", 3))
        for e in ("brook", "weir")
        for n in (1, 2, 3)
    )
    text = run_sheet_text(_sheet(tmp_path, refs))
    assert "Still to be run: 1 of 6 planned runs." in text
    assert re.search(r"\[ \] +1 +3 +Weir +4$", text, re.MULTILINE)


def test_a_test_says_how_it_is_done_and_what_to_beware_of() -> None:
    """Its caution comes first, then its method, harmless as every text of a session."""
    of = _mini()
    said = of.spec.tests["open"].model_copy(
        update={"method": "Open it by a <quarter> turn.", "caution": "Hold the hose."}
    )
    tests = dict(of.spec.tests) | {"open": said}
    sheet = run_sheet(replace(of, spec=of.spec.model_copy(update={"tests": tests})), whole=True)
    text, page = run_sheet_text(sheet), run_sheet_html(sheet)
    assert text.index("Caution: Hold the hose.") < text.index(
        "Method: Open it by a <quarter> turn."
    )
    assert page.index("Caution: Hold the hose.") < page.index(
        "Method: Open it by a &lt;quarter&gt;"
    )
