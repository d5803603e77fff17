"""Numbers said, held against numbers measured."""

from __future__ import annotations

from pathlib import Path

import pytest

from overlays.errors import Problems
from overlays.outline.speech.findings import (
    Finding,
    report_findings,
    script_findings,
    voice_findings,
)
from tests.outline.bench import make_results, make_session, read, report


def _script(tmp_path: Path, text: str) -> tuple[Finding, ...]:
    outline, _ = read(tmp_path, f"## One\n{text}\n")
    return script_findings(outline, make_results(make_session(tmp_path)))


@pytest.mark.parametrize(
    ("text", "verdict", "data"),
    [
        ("Alder averages 86.4 N·m.", "supported", "86.4 N·m (Mean torque of Alder)"),
        ("Alder averages 87 N·m.", "contradicted", "86.4 N·m (Mean torque of Alder)"),
        ("Alder makes just over 85 newton metres.", "supported", "86.4 N·m (Mean torque of Alder)"),
        ("The rotor hits two thirty-one on Alder.", "supported", "231 °C (Rotor peak of Alder)"),
        ("Alder hits two hundred and forty degrees.", "contradicted",
         "231 °C (Rotor peak of Alder)"),
        ("Dune costs fourteen euros.", "contradicted", "12.00 € (price of Dune)"),
        ("That leaves six newton metres between Alder and Dune.", "supported",
         "6.3 N·m (Mean torque of Alder minus Mean torque of Dune)"),
        ("Alder keeps a hundred and eight percent of the claim.", "supported",
         "108 % (Mean torque of Alder over claimed of Alder)"),
        ("Alder is 8 % up on Dune.", "supported",
         "8 % (Mean torque of Alder against Mean torque of Dune)"),
        ("Dune takes a third more time to bite than Alder.", "contradicted",
         "38 % (Time to bite of Dune against Time to bite of Alder)"),
        ("A stop takes six seconds.", "supported", "6 s (test cold.length)"),
        ("To forty newton metres.", "supported", "40 N·m (figure bite.level)"),
        ("Alder does sixty-four foot-pounds.", "supported", "86.4 N·m (Mean torque of Alder)"),
        ("It has 37 teeth.", "unsupported", ""),
        ("The oil has 3 bar.", "unsupported", ""),
        ("Somebody averages 80.1 newton metres.", "supported", "80.1 N·m (Mean torque of Dune)"),
    ],
)  # fmt: skip
def test_verdicts(tmp_path: Path, text: str, verdict: str, data: str) -> None:
    """Supported by which figure, contradicted by which, or by none at all."""
    (found,) = _script(tmp_path, text)
    assert (found.verdict, found.data) == (verdict, data)
    assert bool(found.judgement.rounding) == (verdict == "supported")


def test_the_wrong_entrys_number_is_told_as_such(tmp_path: Path) -> None:
    """A number that is right for another entry contradicts, and says whose it is."""
    (found,) = _script(tmp_path, "Dune makes 86.4 newton metres.")
    assert (found.verdict, found.data) == ("contradicted", "80.1 N·m (Mean torque of Dune)")
    assert found.judgement.remark == "It fits Mean torque of Alder."


def test_swapped_numbers_are_both_contradicted(tmp_path: Path) -> None:
    """Each number is held against the entry of its own clause."""
    verdicts = [f.verdict for f in _script(tmp_path, "Alder makes 80.1 N·m, Dune 86.4 N·m.")]
    assert verdicts == ["contradicted", "contradicted"]


def test_the_wrong_direction_is_told(tmp_path: Path) -> None:
    """The right gap the wrong way round is borne out, with a remark."""
    right, wrong = _script(
        tmp_path,
        "Dune is six newton metres down on Alder. Alder is six newton metres down on Dune.",
    )
    assert (right.verdict, right.judgement.remark) == ("supported", "")
    assert wrong.verdict == "supported"
    assert "Check the direction" in wrong.judgement.remark


def test_a_sentence_without_a_name_speaks_of_the_one_before(tmp_path: Path) -> None:
    """Whose number it is carries over from sentence to sentence within a beat."""
    _, found = _script(tmp_path, "Dune makes 80.1 newton metres. In the wet it does 57.6 N·m.")
    assert (found.verdict, found.data) == ("supported", "57.6 N·m (Wet torque of Alder)")
    assert "Dune was spoken of before" in found.judgement.remark


def test_what_was_filled_in_is_not_checked(tmp_path: Path) -> None:
    """References are the data; a faulty one has its own error and is no claim."""
    text = "Alder makes {alder cold_mean}, or {alder cold_mean to 9 places}, or 86.4 N·m."
    assert [found.said for found in _script(tmp_path, text)] == ["86.4 N·m"]


def test_findings_know_where_and_when(tmp_path: Path) -> None:
    """A finding has the line of its sentence and its place on the timeline."""
    outline, _ = read(
        tmp_path, "## One\nHere we are.\nAll good. Alder makes 90 N·m.\n## Two\nGo.\n"
    )
    (found,) = script_findings(outline, make_results(make_session(tmp_path)))
    assert (found.spot.beat, found.spot.line, found.spot.frame) == ("one", 3, 50)
    assert (found.spot.where, found.sentence) == ("script", "Alder makes 90 N·m.")


CAPTIONS = """1
00:00:00,500 --> 00:00:03,000
so alder makes eighty six point four newton meters

2
00:00:03,200 --> 00:00:06,000
that is eight percent more than dune and dune does eighty

3
00:00:06,000 --> 00:00:08,000
one point three newton metres
"""


def test_what_was_said_is_checked_too(tmp_path: Path) -> None:
    """Captions are held against the data, also where a number runs across two of them."""
    (tmp_path / "captions.srt").write_text(CAPTIONS, encoding="utf-8")
    outline, _ = read(
        tmp_path,
        "## One\nAlder makes {alder cold_mean}, that is {alder cold_mean against dune cold_mean} "
        "than Dune, and Dune does {dune cold_mean}.\n",
    )
    results = make_results(make_session(tmp_path))
    assert script_findings(outline, results) == ()
    said = voice_findings(outline, results)
    assert [(found.said, found.verdict) for found in said] == [
        ("eighty six point four newton meters", "supported"),
        ("eight percent more", "supported"),
        ("eighty one point three newton metres", "contradicted"),
    ]
    assert [found.spot.line for found in said] == [2, 6, 6]
    assert said[2].data == "80.1 N·m (Mean torque of Dune)"
    # "eighty" is the last of ten words between 3.2 s and 6 s, and said at about 5.7 s.
    assert said[2].spot.frame == 142


def test_captions_without_full_stops_are_parted(tmp_path: Path) -> None:
    """Long captions without any punctuation are searched a few at a time, and nothing is lost."""
    lines = [
        f"{n}\n00:00:{n:02},000 --> 00:00:{n + 1:02},000\nand then alder makes 91 newton metres\n"
        for n in range(1, 31)
    ]
    (tmp_path / "captions.srt").write_text("\n".join(lines), encoding="utf-8")
    outline, _ = read(tmp_path, "## One\nAlder makes {alder cold_mean}.\n")
    said = voice_findings(outline, make_results(make_session(tmp_path)))
    assert len(said) == 30
    assert {found.verdict for found in said} == {"contradicted"}
    assert [found.spot.line for found in said] == list(range(2, 122, 4))


def test_findings_are_told_as_warnings(tmp_path: Path) -> None:
    """What the data does not bear out is a warning; what it does is silent."""
    outline, _ = read(
        tmp_path,
        "## One\nAlder makes 86.4 N·m.\nDune makes 91 N·m.\nIt has 37 teeth.\n"
        "Alder is six newton metres down on Dune.\n",
    )
    problems = Problems()
    findings = script_findings(outline, make_results(make_session(tmp_path)))
    report_findings(findings, problems, outline=outline)
    assert report(problems) == [
        ("number-contradicted", 3), ("number-unsupported", 4), ("number-doubtful", 5)
    ]  # fmt: skip
    assert problems.errors == ()
    assert "80.1 N·m (Mean torque of Dune)" in problems.found[0].message
    assert "at 00:00:01:15" in problems.found[0].message


def test_spoken_mistakes_name_the_captions(tmp_path: Path) -> None:
    """A wrong number of the recording is told with the captions' file and line."""
    (tmp_path / "captions.srt").write_text(CAPTIONS, encoding="utf-8")
    outline, _ = read(tmp_path, "## One\nSo Alder makes 86.4 newton metres.\n")
    problems = Problems()
    report_findings(
        voice_findings(outline, make_results(make_session(tmp_path))), problems, outline=outline
    )
    assert [(p.code, p.file, p.line) for p in problems.found] == [
        ("number-contradicted", "captions.srt", 6)
    ]
    assert "Record" in problems.found[0].remedy
