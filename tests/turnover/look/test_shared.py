"""What runs have in common is said once."""

from __future__ import annotations

from overlays.model.result import Results
from overlays.turnover.look.seen import SeenPlace
from overlays.turnover.look.shared import runs_named, shared_logs, shared_steps

Places = dict[str, SeenPlace]


def test_reading_notes_of_all_logs_are_common_and_others_own(places: Places) -> None:
    """Encoding and delimiter are alike; one log has a line above, so its header lies lower."""
    shared = shared_logs(list(places.values()))
    assert "encoding utf-8" in shared.common
    assert not any("column names" in phrase for phrase in shared.common)
    own = dict.fromkeys(shared.of_place(places["hemp"]))
    assert ("run 3", "passed over (line 1)") in own
    assert ("runs 1 and 2", "column names (line 1)") in own
    assert ("run 3", "column names (line 3)") in own
    assert [names for names, _ in shared.of_place(places["sisal"])] == ["runs 1, 2 and 3"]


def test_nothing_is_lost_between_common_and_own(places: Places) -> None:
    """Common and own phrases together are the reading note of each log."""
    shared = shared_logs(list(places.values()))
    for seen, own in shared.own:
        if seen.notes:
            assert len(shared.common) + len(own) == len(seen.notes)


def test_conditioning_is_told_by_channel(results: Results, places: Places) -> None:
    """The pull is zeroed; the way goes through its filter."""
    shared = shared_steps(results.session.spec, list(places.values()))
    pull, way = shared.common
    assert pull.startswith("pull: zeroed")
    assert way.startswith("way: ")
    assert "median" in way
    assert list(shared.of_place(places["hemp"])) == []


def test_without_a_readable_log_nothing_is_said(results: Results, places: Places) -> None:
    """Neither in common nor of its own."""
    for shared in (
        shared_logs([places["jute"]]),
        shared_steps(results.session.spec, [places["jute"]]),
        shared_logs([]),
    ):
        assert shared.common == ()
        assert list(shared.of_place(places["jute"])) == []


def test_runs_are_named_as_one_would_say(places: Places) -> None:
    """One, two, three."""
    runs = places["hemp"].runs
    named = [runs_named(runs[:count]) for count in (1, 2, 3)]
    assert named == ["run 1", "runs 1 and 2", "runs 1, 2 and 3"]
