"""The review page's sections on the voice."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from overlays.errors import Problem
from overlays.model.outline import Cue, Outline
from overlays.outline.speech.candidates import Candidate
from overlays.outline.speech.findings import Finding, Spot
from overlays.outline.speech.judgement import Judgement, Verdict
from overlays.turnover.review import review_page
from overlays.turnover.review_voice import is_settled, number_item, numbers_said, times_found
from tests.turnover.building import NON_DROP_25, beat, outline
from tests.turnover.test_review import _review

NEAR = Candidate(12.5, "most flow of Brook", "12.5 l/min", (("most", "brook"),), ("brook",))
SENTENCE = "So Brook gives fifteen litres a minute, and that is a lot."


def _found(verdict: Verdict, *, remark: str = "", near: Candidate | None = NEAR) -> Finding:
    rounding = "to the nearest 0.1" if verdict == "supported" else ""
    return Finding(
        "fifteen litres a minute",
        SENTENCE,
        Spot("captions", "one", 7, 250),
        Judgement(verdict, near, rounding, remark),
    )


def _outline() -> Outline:
    return replace(outline(NON_DROP_25, [beat("one", 0, 500)]), captions="captions.srt")


@pytest.mark.parametrize(
    ("found", "words"),
    [
        (
            _found("contradicted"),
            ("contradicted", "The data says 12.5 l/min (most flow of Brook)."),
        ),
        (_found("unsupported"), ("unsupported", "nearest is 12.5 l/min (most flow of Brook).")),
        (_found("unsupported", near=None), ("unsupported", "No figure is like it.")),
        (_found("supported", remark="Weir was spoken of."), ("doubtful", "Weir was spoken of.")),
    ],
)
def test_a_number_is_told_with_its_time_and_sentence(found: Finding, words: tuple[str]) -> None:
    """When it is said, in what sentence, what the data says, and where to find it."""
    item = number_item(found, _outline())
    for text in (
        "<b>00:00:10:00</b>",
        "<q>So Brook gives <mark>fifteen litres a minute</mark>, and that is a lot.</q>",
        "captions.srt:7",
        *words,
    ):
        assert text in item, text


def test_a_long_sentence_is_cut_around_its_number() -> None:
    """Captions without full stops make long sentences: whole words on either side are kept."""
    long = replace(
        _found("contradicted"), sentence=f"{'ab ' * 90}fifteen litres a minute{' cd' * 90}"
    )
    item = number_item(long, _outline())
    assert item.count("ab") == item.count("cd") == 30 - 1
    assert "<q>… ab" in item
    assert "cd …</q>" in item


def test_every_number_is_listed_with_its_rounding() -> None:
    """Supported ones too: by which figure, and at what rounding."""
    section = numbers_said([_found("supported"), _found("contradicted")], _outline())
    assert "1 of 2 numbers are borne out" in section
    assert "<td>to the nearest 0.1</td>" in section
    assert section.count("12.5 l/min (most flow of Brook)") == 2
    assert "none was heard" in numbers_said([], _outline())


def test_doubtful_beats_and_cues_are_marked() -> None:
    """Each beat and cue has where its time comes from and how much of it was recognised."""
    cue = Cue("card", "curves", "two", 300, 50, {}, 20, {"when": 22}, "captions", 0.5)
    beats = [
        beat("one", 0, 250, confidence=0.97, timed_by="captions", line=3),
        beat("two", 250, 250, confidence=0.6, timed_by="captions", line=9, cues=(cue,)),
        beat("three", 500, 250, confidence=0.0, timed_by="speaking rate", line=30),
    ]
    problems = [
        Problem("warning", code, "outline.md", line, "Listen.", "")
        for code, line in (
            ("doubtful-beat", 9), ("doubtful-cue", 22), ("beat-not-heard", 30), ("gap", 3),
        )
    ]  # fmt: skip
    section = times_found(replace(outline(NON_DROP_25, beats), captions="captions.vtt"), problems)
    rows = section.split("<tr>")[2:]
    assert ["97%" in rows[0], "60%" in rows[1], "50%" in rows[2], "0%" in rows[3]] == [True] * 4
    assert [">doubtful<" in row for row in rows] == [False, True, True, False]
    assert ">not heard<" in rows[3]
    assert "The recorded voice is captions.vtt." in section
    assert "no captions of a recorded voice" in times_found(outline(NON_DROP_25, beats), [])


def test_the_page_tells_wrong_numbers_first(tmp_path: Path) -> None:
    """A contradicted number stands above warnings; one borne out is no finding."""
    wrong, right = _found("contradicted"), _found("supported")
    assert (is_settled(wrong), is_settled(right)) == (False, True)
    problems = (Problem("warning", "odd", "outline.md", 7, "Odd.", "Look."),)
    review = replace(_review(tmp_path), said=(right, wrong), problems=problems)
    text = review_page(review)
    findings = text[text.index('id="findings"') : text.index('id="numbers"')]
    assert findings.index("<mark>") < findings.index("Odd.")
    assert findings.count("<mark>") == 1
