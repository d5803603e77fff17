"""What was assumed of logs is told without repeating it for each."""

from __future__ import annotations

from dataclasses import replace

from overlays.errors import Problems
from overlays.model.run import Run
from overlays.model.trace import Note
from overlays.scoring.reading_notes import reading_lines
from overlays.scoring.results import results_of_runs
from tests.scoring.building import flat_run, session


def noted(entry: str, repeat: int, *notes: Note) -> Run:
    """Return a run of the test ``hold`` whose log has the notes given."""
    return replace(flat_run(entry, "hold", repeat, 50.0), notes=notes)


def lines_of(*runs: Run) -> tuple[str, ...]:
    return reading_lines(results_of_runs(session(), runs, Problems()))


def test_what_all_logs_share_is_said_once_and_the_rest_by_file() -> None:
    """Alike is told of the test; two logs that differ alike share a line, with all its notes."""
    comma, lost = Note(None, "decimal comma"), Note(4, "holds NUL bytes; left out")
    short = Note(9, "is cut off; left out")
    assert lines_of(
        noted("ash", 1, comma),
        noted("ash", 2, comma, lost, short),
        noted("birch", 1, comma, lost, short),
    ) == (
        "hold, all 3 logs: decimal comma.",
        (
            "hold, logs/ash_hold_2.csv, logs/birch_hold_1.csv: holds NUL bytes; left out "
            "(line 4); is cut off; left out (line 9)."
        ),
    )


def test_a_single_log_and_logs_with_nothing_in_common() -> None:
    """One log is no "all"; without anything shared, only the logs' own lines are there."""
    a, b = Note(None, "decimal comma"), Note(None, "decimal point")
    assert lines_of(noted("ash", 1, a)) == ("hold, the only log: decimal comma.",)
    assert lines_of(noted("ash", 1, a), noted("ash", 2, b)) == (
        "hold, logs/ash_hold_1.csv: decimal comma.",
        "hold, logs/ash_hold_2.csv: decimal point.",
    )


def test_without_runs_or_notes_nothing_is_said() -> None:
    """No line is empty."""
    assert lines_of() == ()
    assert lines_of(noted("ash", 1)) == ()
