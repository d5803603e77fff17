"""Cues on the timeline: on their beat, on a phrase, on an event in the data."""

from __future__ import annotations

from pathlib import Path

import pytest

from overlays.errors import Problems
from overlays.model.outline import Cue, Outline
from overlays.outline.cues import plain_pacing
from overlays.outline.reader import read_outline
from tests.outline.bench import make_results, make_runs, make_session, read, report

HEAD = '## One\n```beat\nin = "00:00:10:00"\nlength = "12 s"\n```\n'
WORDS = "Alder bites first. Dune comes later and later, and Alder bites again."


def _cue(**keys: str) -> str:
    lines = "".join(f"{key} = {value}\n" for key, value in keys.items())
    return f"```cue curves\n{lines}```\n"


def _one(tmp_path: Path, **keys: str) -> tuple[Cue | None, Problems]:
    outline, problems = read(tmp_path, f"{HEAD}{WORDS}\n{_cue(**keys)}")
    return (outline.cues[0] if outline.cues else None), problems


@pytest.mark.parametrize(
    ("keys", "first", "frames"),
    [
        ({}, 250, 300),
        ({"at": '"2 s"'}, 300, 250),
        ({"at": '"2 s"', "length": '"9 s"'}, 300, 225),
        ({"at": '"00:00:12:05"'}, 305, 245),
        ({"at": '"10 frames"', "length": '"73 frames"'}, 260, 73),
        ({"at": '"1 s"', "out": '"00:00:15:00"'}, 275, 100),
        ({"at": '"1 s"', "out": '"5 s"'}, 275, 100),
    ],
)
def test_cues_lie_where_they_say(
    tmp_path: Path, keys: dict[str, str], first: int, frames: int
) -> None:
    """Offsets count from the beat; without a length a cue runs to the end of its beat."""
    cue, problems = _one(tmp_path, **keys)
    assert cue is not None
    assert (cue.first_frame, cue.frames, cue.timed_by) == (first, frames, "written")
    assert problems.found == []


def test_a_cue_may_outlast_its_beat_with_a_warning(tmp_path: Path) -> None:
    """A cue longer than its beat is kept, and told with how far it runs over."""
    cue, problems = _one(tmp_path, at='"10 s"', length='"4.2 s"')
    assert cue is not None
    assert cue.frames == 105
    assert report(problems) == [("cue-past-beat", 9)]
    assert "2.20 s past" in problems.found[0].message
    assert problems.errors == ()


@pytest.mark.parametrize(
    ("keys", "code", "line"),
    [
        ({"at": '"12 s"'}, "cue-outside-beat", 8),
        ({"at": '"00:00:02:00"'}, "cue-outside-beat", 8),
        ({"at": '"-1 s"'}, "cue-outside-beat", 8),
        ({"at": '"5 s"', "out": '"4 s"'}, "out-before-in", 9),
        ({"when": '"bites first"', "at": '"00:00:12:00"'}, "two-anchors", 9),
        ({"when": '"never said"'}, "no-phrase", 8),
        ({"when": '"bites"', "occurrence": "3"}, "no-phrase", 9),
        ({"event": '"peak"'}, "no-event", 7),
        ({"event": '{ what = "peak", of = "nobody" }'}, "no-event", 7),
    ],
)
def test_cues_that_have_no_place(
    tmp_path: Path, keys: dict[str, str], code: str, line: int
) -> None:
    """What lies outside its beat or hangs on nothing is an error on the line that says so."""
    cue, problems = _one(tmp_path, **keys)
    assert cue is None
    assert report(problems) == [(code, line)]


def test_a_phrase_is_put_by_the_words_before_it(tmp_path: Path) -> None:
    """Without a recording a phrase lies where its words lie at the speaking rate."""
    cue, problems = _one(tmp_path, when='"Dune comes later"', length='"1 s"')
    assert cue is not None
    # Three of twelve words of 0.4 s each come before.
    assert (cue.first_frame, cue.timed_by) == (250 + 30, "speaking rate")
    assert problems.found == []


def test_an_offset_shifts_a_phrase_either_way(tmp_path: Path) -> None:
    """``at`` counts from the phrase, before or behind it."""
    for at, first in (("0.4 s", 290), ("-0.4 s", 270)):
        cue, _ = _one(tmp_path, when='"dune comes"', at=f'"{at}"', length='"1 s"')
        assert cue is not None
        assert cue.first_frame == first


def test_a_phrase_said_twice_is_not_guessed_silently(tmp_path: Path) -> None:
    """The first is taken with a warning; ``occurrence`` says which and silences it."""
    cue, problems = _one(tmp_path, when='"Alder bites"', length='"1 s"')
    assert cue is not None
    assert (cue.first_frame, report(problems)) == (250, [("phrase-twice", 8)])
    cue, problems = _one(tmp_path, when='"Alder bites"', occurrence="2", length='"1 s"')
    assert cue is not None
    assert (cue.first_frame, report(problems)) == (250 + 90, [])


def test_a_phrase_nobody_says_names_the_nearest(tmp_path: Path) -> None:
    """The error quotes the sentence that comes closest."""
    _, problems = _one(tmp_path, when='"Alder bits first"')
    assert "'Alder bites first.'" in problems.found[0].remedy


def test_numbers_of_a_phrase_may_be_written_either_way(tmp_path: Path) -> None:
    """A phrase in words is found in figures, and with the unit's symbol or its name."""
    script = f"{HEAD}It makes {{alder cold_mean}} there.\n"
    for phrase in ("86.4 N·m", "eighty-six point four newton metres", "newton metres"):
        outline, problems = read(tmp_path, script + _cue(when=f'"{phrase}"', length='"1 s"'))
        assert len(outline.cues) == 1, phrase
        assert problems.found == []


def _pacing(cue: Cue, run_s: float) -> int:
    """Draw ten frames of axes first, then live."""
    assert cue.kind == "curves"
    return 10 + round(run_s * 25)


def _with_runs(tmp_path: Path, script: str) -> tuple[Outline, Problems]:
    (tmp_path / "outline.md").write_text(script, encoding="utf-8")
    session = make_session(tmp_path)
    results = make_runs(make_results(session))
    problems = Problems()
    outline = read_outline(session, results, problems, pacing=_pacing)
    assert outline is not None
    return outline, problems


@pytest.mark.parametrize(
    ("event", "run_s"),
    [
        ('"peak"', 2),
        ('"start"', 0),
        ('"end"', 6),
        ('{ what = "peak", of = "drawn" }', 2),
        ('{ what = "peak", of = "drawn", entries = ["dune"] }', 4),
        ('{ what = "crossing" }', 3),
        ('{ what = "level", level = "50 N*m" }', 1),
    ],
)
def test_an_event_in_the_data_is_where_its_curve_is_drawn(
    tmp_path: Path, event: str, run_s: float
) -> None:
    """The cue begins on the frame on which the drawing cue shows that moment of the run."""
    script = (
        f"{HEAD}{WORDS}\n"
        '```cue curves\nid = "drawn"\nat = "1 s"\nlength = "9 s"\ntest = "cold"\n```\n'
        f'```cue lower_third\nid = "hung"\nevent = {event}\nlength = "1 s"\n```\n'
    )
    outline, problems = _with_runs(tmp_path, script)
    hung = next(cue for cue in outline.cues if cue.cue == "hung")
    assert problems.found == []
    assert (hung.first_frame, hung.timed_by) == (275 + 10 + run_s * 25, "event")


def test_which_curve_is_meant_is_not_guessed(tmp_path: Path) -> None:
    """With two cues that draw runs, the event has to name one."""
    drawing = '```cue curves\nlength = "2 s"\ntest = "cold"\n```\n'
    script = f'{HEAD}{WORDS}\n{drawing}{drawing}```cue lower_third\nevent = "peak"\n```\n'
    _, problems = _with_runs(tmp_path, script)
    assert [code for code, _ in report(problems)] == ["no-event"]
    assert "2 cues" in problems.found[0].message


def test_plain_pacing_draws_from_the_first_frame(tmp_path: Path) -> None:
    """Live is one second a second; to fit, the run's length is the cue's."""
    pacing = plain_pacing(make_results(make_session(tmp_path)))
    live = Cue("a", "curves", "b", 0, 100, {"test": "cold"}, 1, {})
    fit = Cue("a", "curves", "b", 0, 100, {"test": "cold", "pace": "fit"}, 1, {})
    assert (pacing(live, 2.0), pacing(fit, 3.0)) == (50, 50)
