"""Kinds are found by looking; a cue's options are held to the kind and to the session."""

from __future__ import annotations

import inspect
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from overlays import kinds as package
from overlays.errors import OutlineError, ProblemsFound
from overlays.kinds.registry import build, kinds
from overlays.turnover import gallery
from overlays.turnover.catalogue import catalogue
from tests.golden.pictures import goldens
from tests.kinds import test_contract
from tests.kinds.conftest import EXAMPLES, cue, make_session

DROPPED = '''
"""A kind dropped in by a test."""
from __future__ import annotations
from dataclasses import dataclass
from typing import ClassVar
from overlays.draw.page import Page
from overlays.draw.panel import panel
from overlays.kinds._card import stand
from overlays.kinds._rows_scene import RowsScene
from overlays.kinds.base import Content, Overlay

@dataclass(frozen=True, slots=True)
class Said(Content):
    word: str

@dataclass(frozen=True, kw_only=True)
class Dropped(Overlay[Said]):
    """One word on a card.

    Parameters
    ----------
    word : str
        Any word.
    """
    kind: ClassVar[str] = "dropped"
    word: str = "yes"
    def content(self, results): return Said((), (), self.word)
    @classmethod
    def lay_out(cls, content, stage, style):
        page = Page(stage.width, stage.height, style)
        rect = stand(page, page.px(200))
        text = page.face("loud", style.type.title).layer(
            content.word, rect.left + page.px(40), rect.top + page.px(120), page.colours.ink
        )
        return RowsScene(
            stage, style, rect=rect, plate=(panel(rect, page),), ruled=(text,), rows=(), step=1
        )
    @classmethod
    def describe(cls, content): return f"Alder says {content.word}."
'''
# Runs the contract tests where the kind has been dropped in, with its example.
CONTRACT = """
import sys
import pytest
from overlays import kinds
kinds.__path__.append(sys.argv[1])
from tests.kinds.conftest import EXAMPLES
EXAMPLES["dropped"] = {"word": "no"}
sys.exit(pytest.main([
    "tests/kinds/test_contract.py", "-k", "dropped or example",
    "-n", "0", "-p", "no:cacheprovider", "-rA",
]))
"""
ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def dropped(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A folder of kinds with one file more, on the package's path while a test runs."""
    folder = tmp_path / "kinds"
    folder.mkdir()
    (folder / "dropped.py").write_text(DROPPED, encoding="utf-8")
    monkeypatch.setattr(package, "__path__", [*package.__path__, str(folder)])
    yield folder
    sys.modules.pop("overlays.kinds.dropped", None)
    monkeypatch.undo()
    assert "dropped" not in kinds()


@pytest.mark.usefixtures("dropped")
def test_a_kind_is_added_by_dropping_a_file_in() -> None:
    """A new file is a new kind, its dataclass fields are its options, nothing else is touched."""
    assert "dropped" in kinds()
    overlay = build(cue("dropped", word="no"), make_session())
    assert vars(overlay) == {"place": None, "leave": False, "word": "no"}


@pytest.mark.usefixtures("dropped")
def test_a_kind_dropped_in_stands_in_the_docs() -> None:
    """The list for users, which the command `styles` prints, has it with its options' notes."""
    assert "  dropped: One word on a card.\n    word: Any word.\n" in catalogue()


@pytest.mark.usefixtures("dropped")
def test_a_kind_dropped_in_is_drawn_with_the_others(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With an example it is in the gallery and the table of speeds, and needs golden frames."""
    shown = tmp_path / "examples"
    shutil.copytree(gallery._EXAMPLES, shown)
    (shown / "dropped.toml").write_text('word = "no"\n', encoding="utf-8")
    monkeypatch.setattr(gallery, "_EXAMPLES", shown)
    assert set(gallery.examples()) == set(kinds())
    monkeypatch.setitem(EXAMPLES, "dropped", {"word": "no"})
    assert {golden.kind for golden in goldens()} == set(kinds())


@pytest.mark.slow
def test_a_kind_dropped_in_is_held_to_the_contract(dropped: Path) -> None:
    """Every contract test that there is for a kind runs for it, and this one passes them all."""
    done = subprocess.run(
        [sys.executable, "-c", CONTRACT, str(dropped)],
        cwd=ROOT,
        # Options for the whole suite, such as counting branches, are not for these few tests.
        env=os.environ | {"PYTHONPATH": str(ROOT), "PYTEST_ADDOPTS": ""},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout
    for name, test in vars(test_contract).items():
        if name.startswith("test_") and "kind" in inspect.signature(test).parameters:
            ran = [line for line in done.stdout.splitlines() if f"::{name}[" in line]
            assert ran, name
            assert all(line.startswith("PASSED") and "dropped" in line for line in ran), ran


def test_an_unknown_kind_is_told_with_the_nearest() -> None:
    """A misspelt kind names its line, and what was probably meant."""
    with pytest.raises(OutlineError) as caught:
        build(cue("curve", test="cold"), make_session())
    assert caught.value.line == 40
    assert "Did you mean 'curves'?" in caught.value.remedy


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
        ({"test": "cold", "gap": ["alder"]}, 42, "has 1 value; expected at least 2"),
        ({"test": "cold", "entries": "alder"}, 42, "expected a list in square brackets"),
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
