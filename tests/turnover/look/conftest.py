"""One small session for all tests of the look: it is only read."""

from __future__ import annotations

import pytest

from overlays.model.result import Results
from overlays.turnover.look.seen import SeenPlace
from overlays.turnover.look.story import Story
from overlays.turnover.look.view import TestView
from tests.turnover.look.building import results_in, story_of, view_and_places, write_session


@pytest.fixture(scope="session")
def results(tmp_path_factory: pytest.TempPathFactory) -> Results:
    """Return the results of the three ropes."""
    return results_in(write_session(tmp_path_factory.mktemp("look") / "ropes"))


@pytest.fixture(scope="session")
def story(results: Results) -> Story:
    """Return what is told of the three ropes."""
    return story_of(results)


@pytest.fixture(scope="session")
def view(results: Results) -> TestView:
    """Return the axes of the slow pull."""
    return view_and_places(results)[0]


@pytest.fixture(scope="session")
def places(results: Results) -> dict[str, SeenPlace]:
    """Return the places of the slow pull, by entry."""
    return view_and_places(results)[1]
