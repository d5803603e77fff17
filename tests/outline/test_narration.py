"""Narration: sentences, their lines, and their references filled in."""

from __future__ import annotations

from pathlib import Path

import pytest

from overlays.errors import Problems
from overlays.outline.narration import Narration, fill, word_count
from overlays.outline.script import Text
from tests.outline.bench import make_results, make_session, report


def _fill(tmp_path: Path, *texts: str, **episode: str) -> tuple[Narration, Problems]:
    problems = Problems()
    results = make_results(make_session(tmp_path, **episode))
    lines = [Text(text, 10 * (place + 1)) for place, text in enumerate(texts)]
    return fill(lines, results, problems, file="outline.md"), problems


def test_references_are_filled_in(tmp_path: Path) -> None:
    """Text, source, spoken text and figures belong together."""
    narration, problems = _fill(
        tmp_path, "It makes {alder cold_mean},\n{alder cold_mean minus dune cold_mean} more. So!"
    )
    assert narration.text == "It makes 86.4 N·m, 6.3 N·m more. So!"
    assert narration.aloud == "It makes 86.4 newton metres, 6.3 newton metres more. So!"
    assert narration.source == (
        "It makes {alder cold_mean}, {alder cold_mean minus dune cold_mean} more. So!"
    )
    assert narration.figures == (("cold_mean", "alder"), ("cold_mean", "dune"))
    assert [sentence.text[f.start : f.end] for sentence in narration.sentences
            for f in sentence.fillings] == ["86.4 N·m", "6.3 N·m"]  # fmt: skip
    assert problems.found == []


def test_paragraphs_are_kept(tmp_path: Path) -> None:
    """An empty line parts paragraphs in the text."""
    narration, _ = _fill(tmp_path, "One. Two.", "Three.")
    assert narration.text == "One. Two.\n\nThree."
    assert [(s.text, s.paragraph) for s in narration.sentences] == [
        ("One.", 0), ("Two.", 0), ("Three.", 1)
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("text", "sentences"),
    [
        ("At 86.4 N·m. Then it fades.", 2),
        ("It costs approx. 5 euros, e.g. here vs. there.", 1),
        ("“Really?” she asked. “Yes!” So be it…", 3),
        ("Wait... what? No.", 2),
        ("See {alder cold_mean to 1 places}. Good.", 2),
        ("No full stop", 1),
    ],
)
def test_sentences_end_where_they_end(tmp_path: Path, text: str, sentences: int) -> None:
    """Full stops after short forms, within quotes and within numbers end no sentence."""
    narration, _ = _fill(tmp_path, text)
    assert len(narration.sentences) == sentences
    assert " ".join(s.source for s in narration.sentences) == text


def test_endless_full_stops_take_no_time(tmp_path: Path) -> None:
    """A run of marks is looked at once, not from each of them: 200,000 letters."""
    narration, problems = _fill(tmp_path, "." * 100_000 + "x" + '."' * 50_000 + "x End. Now. ")
    assert [sentence.text[-4:] for sentence in narration.sentences] == ["End.", "Now."]
    assert problems.found == []


def test_lines_are_those_of_the_file(tmp_path: Path) -> None:
    """Sentences and faulty references know their line, also within a long paragraph."""
    narration, problems = _fill(
        tmp_path, "First line\nsecond. Third {alder\ncold_meen} and\n{alder cold_mean}. {x}.\nEnd."
    )
    assert [sentence.line for sentence in narration.sentences] == [10, 11, 13, 14]
    assert report(problems) == [("unknown-figure", 11), ("bad-reference", 13)]


def test_what_cannot_be_filled_in_stays(tmp_path: Path) -> None:
    """A faulty reference stays as written, told once, and the others are filled in all the same."""
    narration, problems = _fill(tmp_path, "{fjord cold_mean} and {alder cold_mean}, } {")
    assert narration.text == "{fjord cold_mean} and 86.4 N·m, } {"
    assert [code for code, _ in report(problems)] == ["bad-reference", "missing-figure"]
    assert "no run of the cold stop" in problems.found[0].message


def test_the_decimal_mark_is_the_sessions(tmp_path: Path) -> None:
    """Numbers in the script have the session's decimal mark."""
    narration, _ = _fill(tmp_path, "{alder cold_mean}", decimal_mark=",")
    assert narration.text == "86,4 N·m"


@pytest.mark.parametrize(
    ("text", "count"), [("", 0), ("one two", 2), ("thirty-one – no, 86.4 !", 4), ("a\nb  c", 3)]
)
def test_words_are_counted_as_read(text: str, count: int) -> None:
    """Dashes and stray marks are no words; hyphens part them."""
    assert word_count(text) == count
