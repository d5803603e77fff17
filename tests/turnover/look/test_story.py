"""What page and sheet both tell."""

from __future__ import annotations

from overlays.turnover.look.story import Story


def test_the_story_counts_runs_and_flags(story: Story) -> None:
    """Eight runs, of which five are used, two left out and one cannot be read."""
    flags = sum(len(texts) for _, texts in story.flags())
    assert story.count == (f"8 runs, 5 used, 2 left out, 1 without a trace; {flags} flags")
    assert story.where == "Ropes · episode 4 · 2026-06-01"
    assert story.title == "Three ropes & <b>one</b> hook"


def test_every_place_of_every_test_is_told(story: Story) -> None:
    """Three entries on two tests, runs or not."""
    names = [story.name_of(told.place) for test in story.tests for told in test.places]
    assert names == [
        f"{test}, {entry}" for test in ("Slow pull", "Rest") for entry in ("Hemp", "Sisal", "Jute")
    ]
    assert [story.state_of(told.place) for told in story.tests[0].places] == [
        "3 of 3 runs", "2 of 3 runs", "0 of 3 runs",
    ]  # fmt: skip


def test_flags_are_told_by_place_and_only_of_places_that_have_some(story: Story) -> None:
    """Hemp has none on the pull; nobody rested."""
    places = [place.anchor for place, _ in story.flags()]
    assert places == ["pull-sisal", "pull-jute", "rest-hemp", "rest-sisal", "rest-jute"]


def test_what_holds_for_a_whole_test_is_said_once(story: Story) -> None:
    """What counts, how runs were conditioned and how logs were read."""
    counts, conditioned, read = story.tests[0].lines
    assert counts == "Counts: mean pull from 1 s to 2 s."
    assert conditioned.startswith("Conditioned: pull: zeroed")
    assert read.startswith("All logs read alike: encoding utf-8; ")
    assert story.tests[1].lines == ()


def test_every_log_is_named_and_its_peculiarities_told(story: Story) -> None:
    """The files of each place, and what was read otherwise than in the test's other logs."""
    hemp = [word.text for word in story.tests[0].places[0].words if word.kind == "log"]
    assert hemp[-1] == "logs/hemp_1.csv, logs/hemp_2.csv, logs/hemp_3.csv."
    assert "run 3 read otherwise: passed over (line 1)." in hemp
