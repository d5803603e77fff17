"""The text for the description under the video."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from overlays.model.run import RunRef
from overlays.turnover.summary import summary_text
from tests.turnover.building import results, session, unchecked


def test_results_and_cautions_are_told(tmp_path: Path) -> None:
    """Places of this session's entries, figures with repeats and spread, cautions, chapters."""
    text = summary_text(results(session(tmp_path)), "00:00 One\n00:05 Two\n")
    blocks = text.split("\n\n")
    assert blocks[0] == "Two taps, one bucket\nTap season, episode 3"
    assert blocks[1] == "RESULTS\n1. Brook: 60.0 points"
    assert blocks[2].startswith("FIGURES\nmost flow: Brook 12.5 l/min (n = 3, spread 1.1); Weir –")
    assert "no run of Open" in blocks[2]
    assert "Water and mains do not mix." in blocks[4]
    assert "local codes" in blocks[4]
    assert blocks[5] == "CHAPTERS\n00:00 One\n00:05 Two\n"


def test_the_sessions_decimal_mark_is_used(tmp_path: Path) -> None:
    """Numbers are set as on screen."""
    text = summary_text(results(session(tmp_path, decimal_mark=",")), "")
    assert "Brook 12,5 l/min (n = 3, spread 1,1)" in text
    assert "CHAPTERS" not in text


def test_text_of_the_session_is_made_plain(tmp_path: Path) -> None:
    """A title cannot add lines or terminal commands."""
    text = summary_text(results(unchecked(tmp_path, title="A\n\x1b[2JCAUTIONS")), "")
    assert text.splitlines()[0] == "A CAUTIONS"


def test_runs_left_out_are_told_with_their_reasons(tmp_path: Path) -> None:
    """Whoever reads the results reads which runs are not among them; without any, no heading."""
    found = results(session(tmp_path))
    assert "RUNS LEFT OUT" not in summary_text(found, "")
    (test,) = found.session.spec.tests
    out = RunRef("brook", test, 4, tmp_path / "x.csv", "x.csv", "Hose came off.", use=False)
    told = replace(found, session=replace(found.session, runs=(*found.session.runs, out)))
    label = found.session.spec.tests[test].label
    assert f"RUNS LEFT OUT\n{label}, Brook, run 4: Hose came off.\n" in summary_text(told, "")
