"""What a re-test or an erratum touches."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from overlays.errors import Problems
from overlays.model.outline import Beat, Outline
from overlays.model.result import Results
from overlays.scoring.touched import (
    Change,
    changes_between,
    changes_in_ledger,
    touched_by,
    touched_text,
)
from overlays.timecode import Timebase
from tests.scoring.building import ledger_row, results, session

POINTS = '[points.held]\nfigure = "held"\nmost = 60\n'
HELD = Change("held", "ash", "50.0 N", "53.0 N")


def measured(ash: Sequence[float]) -> Results:
    return results(session(POINTS), {("ash", "hold"): ash, ("ash", "pull"): [80.0]}, Problems())


def test_only_what_is_shown_otherwise_has_changed() -> None:
    """A re-test that moves hidden digits changes nothing that anybody saw."""
    assert changes_between(measured([50.01]), measured([49.99])) == ()
    assert changes_between(measured([50.0]), measured([53.0])) == (HELD,)
    gone = changes_between(measured([50.0]), measured([]))
    assert gone == (Change("held", "ash", "50.0 N", None),)


def test_the_ledger_knows_what_was_published() -> None:
    """Figures that the ledger has otherwise are found, whichever episode recorded them."""
    ledger = [
        ledger_row(1, "ash", "held", "41.0"),
        ledger_row(2, "ash", "held", "50.0"),
        ledger_row(2, "ash", "pulled", "80.0"),
        ledger_row(2, "cedar", "held", "12.0"),
    ]
    assert changes_in_ledger(measured([53.0]), ledger) == (HELD,)
    assert changes_in_ledger(measured([50.0]), ledger) == ()


def test_an_erratum_of_this_episode_is_a_change() -> None:
    """What was taken back is listed with what stands instead."""
    ledger = [
        ledger_row(1, "cedar", "held", "12.0"),
        ledger_row(3, "cedar", "held", None, reason="wrong strap"),
    ]
    assert changes_in_ledger(measured([53.0]), ledger) == (Change("held", "cedar", "12.0 N", None),)


def test_what_is_taken_back_but_still_used_says_so() -> None:
    """A withdrawn result whose run the session goes on using is no change to the same value."""
    ledger = [
        ledger_row(3, "ash", "held", "50.0"),
        ledger_row(3, "ash", "held", None, reason="wrong strap"),
    ]
    (change,) = changes_in_ledger(measured([50.0]), ledger)
    assert change.before == "50.0 N"
    assert change.after == "50.0 N (withdrawn, yet its run is still used)"


def beat(name: str, line: int, *figures: tuple[str, str]) -> Beat:
    """Return a beat that says these figures."""
    plain = Beat.__dataclass_fields__
    known = {
        "beat": name, "title": name, "first_frame": 0, "frames": 25, "timed_by": "written",
        "narration": "", "source": "", "figures": figures, "cues": (), "line": line,
    }  # fmt: skip
    # Beats may have grown fields that do not matter here.
    rest = {key: () for key in plain if key not in known}
    return Beat(**known, **rest)  # type: ignore[arg-type]  # filled in by name


def test_beats_cues_and_episodes_that_showed_it_are_listed() -> None:
    """Everything with the old value, and nothing else."""
    outline = Outline(
        "outline.md",
        Timebase(Fraction(25)),
        (
            beat("opening", 3),
            beat("verdict", 12, ("held", "ash"), ("held", "birch")),
            beat("pulling", 20, ("pulled", "ash")),
        ),
    )
    shown_by = {"verdict-card": [("held", "ash")], "pulling-curves": [("pulled", "ash")]}
    ledger = [
        ledger_row(1, "ash", "held", "41.0"),
        ledger_row(2, "ash", "held", "50.0"),
        ledger_row(3, "cedar", "held", "7.0"),
        ledger_row(4, "ash", "held", "44.0"),
        ledger_row(5, "ash", "held", "50.0"),
    ]
    found = touched_by([HELD], outline=outline, shown_by=shown_by, ledger=ledger, episode=5)
    assert found.spoken == (("verdict", 12, HELD),)
    assert found.cues == (("verdict-card", HELD),)
    assert found.episodes == ((2, HELD), (3, HELD))
    assert touched_text(found, "csv").splitlines() == [
        "place,where,figure,entry,before,after",
        "figure,,held,ash,50.0 N,53.0 N",
        'spoken,"verdict, line 12",held,ash,50.0 N,53.0 N',
        "cue,verdict-card,held,ash,50.0 N,53.0 N",
        "episode,2,held,ash,50.0 N,53.0 N",
        "episode,3,held,ash,50.0 N,53.0 N",
    ]


def test_a_withdrawn_value_was_not_shown_after() -> None:
    """Between withdrawal and re-test no episode showed it."""
    ledger = [
        ledger_row(1, "ash", "held", "50.0"),
        ledger_row(2, "ash", "held", None, reason="wrong strap"),
        ledger_row(3, "cedar", "held", "7.0"),
    ]
    assert touched_by([HELD], ledger=ledger, episode=4).episodes == ((1, HELD),)


def test_nothing_touched_is_an_empty_table() -> None:
    """Without changes there is nothing to list."""
    found = touched_by([], episode=1)
    assert found == replace(found, changes=(), spoken=(), cues=(), episodes=())
    assert len(touched_text(found).splitlines()) == 2
