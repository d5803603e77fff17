"""The error tree: places, collecting, and the way back from a worker process."""

from __future__ import annotations

import inspect
import pickle

import pytest

from overlays import errors
from overlays.errors import (
    LogError,
    Problem,
    Problems,
    ProblemsFound,
    SessionError,
    TracereelError,
)

KINDS = [
    kind
    for _, kind in inspect.getmembers(errors, inspect.isclass)
    if issubclass(kind, TracereelError) and kind is not ProblemsFound
]


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.__name__)
def test_every_error_survives_a_worker_process(kind: type[TracereelError]) -> None:
    """An error is pickled with its code, place and remedy."""
    error = kind("found x.", code="c", remedy="Do y.", file="f", line=3, field="a.b")
    again = pickle.loads(pickle.dumps(error))  # noqa: S301 (made on the line above)
    assert type(again) is kind
    assert again.problems() == error.problems()


def test_many_problems_survive_a_worker_process() -> None:
    """ProblemsFound keeps every problem when pickled."""
    found = ProblemsFound([Problem("error", "c", "f", 1, "m.", "r.")])
    again = pickle.loads(pickle.dumps(found))  # noqa: S301 (made on the line above)
    assert again.problems() == found.problems()


def test_a_place_is_filled_in_but_not_overwritten() -> None:
    """`at` adds what the error did not know itself."""
    error = LogError("m.", code="c", remedy="r.", line=7).at(file="f", line=1)
    assert (error.file, error.line) == ("f", 7)


def test_a_problem_reads_as_place_what_remedy() -> None:
    """The text of a problem says where, what and what to do."""
    error = SessionError("found 3.", code="c", remedy="Write 4.", file="f", line=2, field="a")
    assert str(error) == "f:2: error: a: found 3. Write 4."
    assert str(Problem("warning", "c", None, None, "m.", "r.")) == "warning: m. r."
    assert str(Problem("warning", "c", "f", None, "m.", "r.")) == "f: warning: m. r."


def test_collecting_goes_on_after_an_error() -> None:
    """One pass gathers all errors, keeps warnings apart, and raises only errors."""
    problems = Problems()
    for line in (1, 2):
        with problems.collecting(file="f", line=line, field="k"):
            raise SessionError("m.", code="c", remedy="r.")
    problems.warn("w", "odd.", remedy="Look.", file="f", line=3)
    assert [problem.line for problem in problems.found] == [1, 2, 3]
    assert len(problems.errors) == 2
    with pytest.raises(ProblemsFound) as caught:
        problems.raise_errors()
    assert len(caught.value.found) == 2


def test_what_is_found_again_is_told_once() -> None:
    """The same error at the same place is one problem; at another place it is another."""
    problems = Problems()
    for line in (4, 4, 5):
        with problems.collecting(file="f", line=line):
            raise SessionError("m.", code="c", remedy="r.")
    assert [problem.line for problem in problems.found] == [4, 5]


def test_collecting_lets_other_errors_through() -> None:
    """A programming error is not swallowed."""
    problems = Problems()
    with pytest.raises(ZeroDivisionError), problems.collecting():
        _ = 1 / 0
    assert problems.found == []


def test_no_errors_means_nothing_raised() -> None:
    """Warnings alone do not stop anything."""
    problems = Problems()
    problems.warn("w", "odd.", remedy="Look.")
    problems.raise_errors()
    assert not problems.errors
