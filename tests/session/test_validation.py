"""What pydantic found, in our words."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from overlays.errors import Problem
from overlays.model.session import SessionSpec
from overlays.session.validation import closest, problems_of


def told(document: dict[str, object], lines: dict[str, int]) -> tuple[Problem, ...]:
    with pytest.raises(ValidationError) as caught:
        SessionSpec.model_validate(document)
    return problems_of(caught.value, SessionSpec, file="session.toml", lines=lines)


@pytest.mark.parametrize(
    ("word", "known", "said"),
    [
        ("hled", ["held", "pulled"], "Did you mean 'held'?"),
        ("HELD", ["held"], "Did you mean 'held'?"),
        ("zzz", ["held", "pulled"], "Known are: held, pulled."),
        ("zzz", [], "There are none."),
    ],
)
def test_the_nearest_word_is_offered(word: str, known: list[str], said: str) -> None:
    """A slip is answered by what was meant; anything else by what there is."""
    assert closest(word, known) == said


def test_an_empty_document_lacks_its_tables() -> None:
    """Each table that has to be there is told."""
    found = told({}, {})
    assert [problem.code for problem in found] == ["missing-key"] * 4
    assert [problem.remedy for problem in found][:2] == ["Add 'episode'.", "Add 'entries'."]


def test_a_fault_deep_inside_has_the_nearest_line() -> None:
    """Where the key itself has no line, the table around it has."""
    document: dict[str, object] = {
        "episode": {"title": "x", "date": "2026-01-01"},
        "entries": {},
        "channels": {},
        "tests": {},
        "figures": {"f": {"label": "f", "take": "at", "test": "t", "at": "1 kg"}},
    }
    (problem,) = told(document, {"figures.f": 7})
    assert problem.line == 7
    # The tag that pydantic puts into the path was never written by anybody.
    assert problem.message.startswith("figures.f.at: ")


def test_long_values_are_cut_in_messages() -> None:
    """A page of text given where a number belongs does not fill the screen."""
    document: dict[str, object] = {
        "episode": {"title": "x", "date": "2026-01-01", "number": "9" * 500 + "x"},
        "entries": {},
        "channels": {},
        "tests": {},
    }
    (problem,) = told(document, {})
    assert len(problem.message) < 140
