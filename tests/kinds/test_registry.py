"""Kinds are found by looking; a cue's options are held to the kind and to the session."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from overlays import kinds as package
from overlays.errors import OutlineError, ProblemsFound
from overlays.kinds.registry import build, kinds
from tests.kinds.conftest import cue, make_session

DROPPED = '''
"""A kind dropped in by a test."""
from __future__ import annotations
from dataclasses import dataclass
from typing import ClassVar
from overlays.kinds.base import Content, Overlay
@dataclass(frozen=True, kw_only=True)
class Dropped(Overlay[Content]):
    """A kind.

    Parameters
    ----------
    word : str
        Any word.
    """
    kind: ClassVar[str] = "dropped"
    word: str = "yes"
    def content(self, results): return Content((), ())
    @classmethod
    def lay_out(cls, content, stage, style): raise NotImplementedError
    @classmethod
    def describe(cls, content): return "Dropped."
'''


def test_a_kind_is_added_by_dropping_a_file_in(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A new file is a new kind, its dataclass fields are its options, nothing else is touched."""
    (tmp_path / "dropped.py").write_text(DROPPED, encoding="utf-8")
    monkeypatch.setattr(package, "__path__", [*package.__path__, str(tmp_path)])
    try:
        assert "dropped" in kinds()
        overlay = build(cue("dropped", word="no"), make_session())
        assert vars(overlay) == {"place": None, "leave": False, "word": "no"}
    finally:
        sys.modules.pop("overlays.kinds.dropped", None)
    monkeypatch.undo()
    assert "dropped" not in kinds()


def test_an_unknown_kind_is_told_with_the_nearest() -> None:
    """A misspelt kind names its line, what there is, and what was probably meant."""
    with pytest.raises(OutlineError) as caught:
        build(cue("curve", test="cold"), make_session())
    assert caught.value.line == 40
    assert "Did you mean 'curves'?" in caught.value.remedy
    assert "lower_third" in caught.value.message


@pytest.mark.parametrize(
    ("options", "line", "says"),
    [
        ({"test": "cold", "gapp": ["a", "b"]}, 42, "Did you mean 'gap'?"),
        ({"test": "colt"}, 41, "Did you mean 'cold'?"),
        ({"test": "cold", "entries": ["alder", "dun"]}, 42, "Did you mean 'dune'?"),
        ({"test": "cold", "pace": "fast"}, 42, "'live' or 'fit'"),
        ({"test": "cold", "gap_at": "4 N*m"}, 42, "expected a time"),
        ({"test": "cold", "gap_at": 4}, 42, "in quotation marks"),
        ({"entries": ["alder"]}, 40, "needs this option"),
        ({"test": "cold", "gap": ["alder"]}, 42, "at least 2 items"),
        ({"test": "cold", "entries": "alder"}, 42, "should be a valid tuple"),
    ],
)
def test_a_wrong_option_names_its_line(options: dict[str, object], line: int, says: str) -> None:
    """Every mistake in a cue is one error with the line of the option and what to do."""
    with pytest.raises(ProblemsFound) as caught:
        build(cue("curves", **options), make_session())
    (problem,) = caught.value.problems()
    assert problem.line == line
    assert says in str(problem)


def test_several_mistakes_are_told_together() -> None:
    """One pass over a cue reports all of its unknown names."""
    with pytest.raises(ProblemsFound) as caught:
        build(
            cue("curves", test="warm", entries=["alder", "elm"], gap=["elm", "fir"]), make_session()
        )
    assert len(caught.value.problems()) == 4
