"""Chapters and beat markers."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest

from overlays.timecode import Timebase
from overlays.turnover.chapters import beats_csv, chapters_text
from overlays.turnover.programme import Programme, programme
from tests.turnover.building import ALL_TIMEBASES, beat, listed, manifest, outline, session

NON_DROP_25 = ALL_TIMEBASES[2]


def test_the_first_chapter_stands_at_zero_and_times_rise() -> None:
    """Common practice, no source: from 00:00, whole seconds, none twice."""
    beats = [beat("one", 40, 10), beat("two", 2000, 10), beat("again", 2010, 50)]
    found = chapters_text(outline(NON_DROP_25, beats), Programme(NON_DROP_25, 0, 5000))
    assert found == "00:00 One\n01:20 Two\n"


def test_a_long_programme_counts_hours() -> None:
    """Every line then has hours."""
    beats = [beat("one", 0, 10), beat("two", 25 * 3725, 10)]
    found = chapters_text(outline(NON_DROP_25, beats), Programme(NON_DROP_25, 0, 25 * 4000))
    assert found == "00:00:00 One\n01:02:05 Two\n"


def test_headings_are_made_harmless() -> None:
    """A line end in a heading does not make a line."""
    beats = [beat("one", 0, 10, title="One\n00:99 \x1b[31mTwo")]
    found = chapters_text(outline(NON_DROP_25, beats), Programme(NON_DROP_25, 0, 10))
    assert found == "00:00 One 00:99 Two\n"


@pytest.mark.parametrize("timebase", ALL_TIMEBASES, ids=str)
def test_markers_carry_labels_and_frames(timebase: Timebase) -> None:
    """The table's labels name its frames, at every rate."""
    first = timebase.frame("10:00:59:20", either_mark=True)
    rows = list(csv.DictReader(io.StringIO(beats_csv(outline(timebase, [beat("a", first, 90)])))))
    assert len(rows) == 1
    assert timebase.frame(rows[0]["record_in"]) == first == int(rows[0]["first_frame"])
    assert timebase.frame(rows[0]["record_out"]) == first + 90
    assert float(rows[0]["seconds"]) == pytest.approx(90 / timebase.rate, abs=5e-4)


def test_a_spreadsheet_computes_nothing() -> None:
    """A heading that looks like a formula is marked as text (OWASP, "CSV Injection")."""
    beats = outline(NON_DROP_25, [beat("a", 0, 1, title='=HYPERLINK("http://example.org")')])
    rows = list(csv.DictReader(io.StringIO(beats_csv(beats))))
    assert rows[0]["title"].startswith("'=")


def test_the_programme_spans_the_session_its_beats_and_cues(tmp_path: Path) -> None:
    """It begins at the session's start or before, and ends with the last of both."""
    start = 10 * 3600 * 25
    beats = outline(NON_DROP_25, [beat("one", start + 100, 50)])
    late = manifest(NON_DROP_25, listed("a", start + 140, 60, NON_DROP_25))
    early = manifest(NON_DROP_25, listed("a", start - 5, 60, NON_DROP_25))
    told = session(tmp_path, NON_DROP_25)
    assert programme(told, beats, late) == Programme(NON_DROP_25, start, start + 200)
    assert programme(told, beats, early) == Programme(NON_DROP_25, start - 5, start + 150)
