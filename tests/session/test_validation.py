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


@pytest.mark.parametrize(
    ("table", "said"),
    [
        ({"repeats": 0}, "found 0; expected a number from 1 to 100. Write a number from 1 to 100."),
        ({"accept": {"runs": 0}}, "found 0; expected 1 or more. Write 1 or more."),
        ({"accept": {"rnus": 2}}, "'rnus' is not a key that belongs here. Did you mean 'runs'?"),
        ({"length": "6 sec onds"}, "found '6 sec onds': 'sec onds' is not a unit"),
        ({"length": "0 s"}, "found '0 s'; expected a time longer than 0."),
        ({"jitter": "-5 %"}, "found '-5 %'; expected 0 or more."),
        (
            {"filters": {"force": {"kind": "butterworth", "cutoff": "-2 Hz"}}},
            "found '-2 Hz'; expected more than 0.",
        ),
        (
            {"spikes": {"force": {"window": "1 s", "times": 1}}},
            "found 1; expected 3 or more. Write 3 or more.",
        ),
    ],
)
def test_bounds_say_what_to_write(table: dict[str, object], said: str) -> None:
    """What is out of bounds is quoted whole, with what to write instead."""
    test: dict[str, object] = {"label": "t", "length": "6 s", "channels": ["force"], "main": "f"}
    document: dict[str, object] = {
        "episode": {"title": "x", "date": "2026-01-01"},
        "entries": {},
        "channels": {},
        "tests": {"t": test | table},
    }
    (problem,) = (p for p in told(document, {}) if p.message.startswith("tests."))
    assert said in f"{problem.message} {problem.remedy}"


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
