"""After a re-test: which sentences change, and which do not."""

from __future__ import annotations

from pathlib import Path

from overlays.model.outline import Outline
from overlays.model.result import Results
from overlays.outline.resay import Change, resay
from tests.outline.bench import make_results, make_session, read

SCRIPT = """## Cold

Nothing here. Alder makes {alder cold_mean about}. Dune makes {dune cold_mean}.
Alder averages 86.4 newton metres. Good night.
"""
ALDER = ("cold_mean", "alder")


def _both(tmp_path: Path, value: float | None) -> tuple[Outline, Results, Results]:
    outline, problems = read(tmp_path, SCRIPT)
    assert problems.found == []
    session = make_session(tmp_path)
    return outline, make_results(session), make_results(session, {ALDER: value})


def test_nothing_changed_nothing_to_say(tmp_path: Path) -> None:
    """The same results ask for nothing."""
    outline, old, _ = _both(tmp_path, 86.44)
    assert resay(outline, old, old) == ()


def test_a_change_within_the_rounding_asks_for_nothing(tmp_path: Path) -> None:
    """86.40 is still "about 85" and still 86.4."""
    outline, old, new = _both(tmp_path, 86.40)
    assert resay(outline, old, new) == ()


def test_a_change_beyond_the_rounding_lists_its_sentences(tmp_path: Path) -> None:
    """A new value changes what is filled in and contradicts what was typed, with times."""
    outline, old, new = _both(tmp_path, 91.3)
    filled, typed = resay(outline, old, new)
    assert filled.before == "Alder makes about 85 newton metres."
    assert filled.now == "Alder makes just over 90 newton metres."
    assert filled.changes == (
        Change("about 85 newton metres", "just over 90 newton metres", (ALDER,)),
    )
    # "Nothing here." are two words of 0.4 s, then come five.
    assert (filled.line, filled.first_frame, filled.frames) == (3, 20, 60)
    assert typed.before == typed.now == "Alder averages 86.4 newton metres."
    assert typed.changes == (Change("86.4 newton metres", "91.3 N·m", (ALDER,), typed=True),)
    assert typed.line == 4


def test_a_figure_that_is_gone_is_told(tmp_path: Path) -> None:
    """Where a figure can no longer be had, the list says why instead of a number."""
    outline, old, new = _both(tmp_path, None)
    filled, typed = resay(outline, old, new)
    assert "no run of the cold stop" in filled.now
    assert typed.changes[0].now == "–"


def test_only_touched_sentences_are_listed(tmp_path: Path) -> None:
    """Sentences about other entries stay."""
    outline, old, new = _both(tmp_path, 91.3)
    assert all("Dune" not in item.before for item in resay(outline, old, new))
