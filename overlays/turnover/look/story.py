"""A look at a session, put together: what page and sheet both tell."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from overlays.model.plain_text import clean_text
from overlays.model.result import Results
from overlays.numbers import counted
from overlays.progress import Progress, silent
from overlays.turnover.look.seen import SeenPlace, see_runs
from overlays.turnover.look.shared import Shared, shared_logs, shared_steps
from overlays.turnover.look.table import FigureRow, figure_rows
from overlays.turnover.look.view import TestView, own_view, view_of
from overlays.turnover.look.words import Word, words_of

__all__ = ["LEGEND", "RULES", "PlaceStory", "Story", "TestStory", "tell"]

LEGEND = (
    ("median", "the median run by the test's main figure: what is shown on screen"),
    ("used", "the other used runs, numbered at the right"),
    ("left out", "left out by the bench"),
    ("measured", "where a figure is measured, by its name; the main one's in bold"),
    ("zero", "what counts as zero"),
    ("gap", "a gap in the log, at the foot of the picture"),
)
"""How to read the pictures: what a stroke or tint means."""

RULES = (
    "The grey band spans the used repeats at each moment, dotted their median then. "
    "All pictures of a test have the same axes, but where they say “own scale”. Times count from "
    "the trigger, or from a log's first sample where the test has none. A flag drops no run: only "
    "the bench does that, for a reason it writes down."
)
"""What else has to be known to read them."""


@dataclass(frozen=True, slots=True, eq=False)
class PlaceStory:
    """What is told of one entry on one test.

    Parameters
    ----------
    place : SeenPlace
        The runs.
    view : TestView
        The axes of its picture.
    rows : tuple of FigureRow
        Their figures.
    words : tuple of Word
        Flags, notes, scatter, and how its logs were read where that is its own.
    """

    place: SeenPlace
    view: TestView
    rows: tuple[FigureRow, ...]
    words: tuple[Word, ...]


@dataclass(frozen=True, slots=True, eq=False)
class TestStory:
    """What is told of one test.

    Parameters
    ----------
    view : TestView
        The axes its pictures have in common.
    lines : tuple of str
        What holds for all its runs: what counts, conditioning, reading.
    places : tuple of PlaceStory
        By entry.
    """

    __test__ = False  # pytest would collect a class of this name

    view: TestView
    lines: tuple[str, ...]
    places: tuple[PlaceStory, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Story:
    """What is told of a session.

    Parameters
    ----------
    results : Results
        Of the session.
    tests : tuple of TestStory
        In the session's order.
    """

    results: Results
    tests: tuple[TestStory, ...]

    @property
    def title(self) -> str:
        """The episode's title, made plain."""
        return clean_text(self.results.session.spec.episode.title)

    @property
    def where(self) -> str:
        """Season, number and date, made plain."""
        return clean_text(self.results.session.spec.episode.where)

    @property
    def count(self) -> str:
        """How many runs there are, and what became of them."""
        runs = [seen for test in self.tests for told in test.places for seen in told.place.runs]
        left_out = sum(1 for seen in runs if not seen.ref.use)
        lost = sum(1 for seen in runs if seen.ref.use and seen.run is None)
        parts = [counted(len(runs), "run"), f"{len(runs) - left_out - lost} used"]
        parts += [f"{left_out} left out"] if left_out else []
        parts += [f"{lost} without a trace"] if lost else []
        flags = sum(len(texts) for _, texts in self.flags())
        return ", ".join(parts) + f"; {flags or 'no'} {'flag' if flags == 1 else 'flags'}"

    def flags(self) -> Iterator[tuple[SeenPlace, tuple[str, ...]]]:
        """Yield every place that has flags, with them."""
        for test in self.tests:
            for told in test.places:
                texts = tuple(word.text for word in told.words if word.kind == "flag")
                if texts:
                    yield told.place, texts

    def name_of(self, place: SeenPlace) -> str:
        """Return ``Cold stop, Alder``."""
        spec = self.results.session.spec
        return f"{spec.tests[place.test].label}, {spec.entries[place.entry].label}"

    def state_of(self, place: SeenPlace) -> str:
        """Return how many of the planned runs of a place are used."""
        planned = self.results.session.spec.tests[place.test].repeats
        return f"{place.used} of {counted(planned, 'run')}"


def tell(results: Results, *, progress: Progress = silent) -> Story:
    """Look at every run of a session; `progress` is told after each run read."""
    places = see_runs(results, progress=progress)
    tests = []
    for test in results.session.spec.tests:
        own = [place for place in places if place.test == test]
        view = view_of(results.session.spec, test, own)
        steps, logs = shared_steps(results.session.spec, own), shared_logs(own)
        told = tuple(_told(results, own_view(view, place), place, steps, logs) for place in own)
        tests.append(TestStory(view, tuple(_lines(results, test, steps, logs)), told))
    return Story(results, tuple(tests))


def _told(
    results: Results, view: TestView, place: SeenPlace, steps: Shared, logs: Shared
) -> PlaceStory:
    words = (*words_of(results, view, place), *_own(place, steps, logs))
    return PlaceStory(place, view, figure_rows(results, place), words)


def _lines(results: Results, test: str, steps: Shared, logs: Shared) -> Iterator[str]:
    declared = results.session.spec.tests[test]
    if declared.counts:
        yield f"Counts: {clean_text(declared.counts)}."
    if steps.common:
        yield f"Conditioned: {'; '.join(steps.common)}."
    if logs.common:
        yield f"All logs read alike: {'; '.join(logs.common)}."


def _own(place: SeenPlace, steps: Shared, logs: Shared) -> Iterator[Word]:
    """Tell of logs read or conditioned otherwise than the test's others, and name them all."""
    for names, phrase in steps.of_place(place):
        yield Word("log", f"{names} conditioned otherwise: {phrase}.")
    for names, phrase in logs.of_place(place):
        yield Word("log", f"{names} read otherwise: {phrase}.")
    if place.runs:
        yield Word("log", f"{', '.join(seen.ref.file for seen in place.runs)}.")
