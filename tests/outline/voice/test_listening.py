"""The captions of a session, held against its script."""

from __future__ import annotations

import re
from fractions import Fraction
from pathlib import Path

import pytest

from overlays.errors import Problems
from overlays.model.outline import Outline
from overlays.timecode import frames_from_s
from tests.outline.bench import read, report

SCRIPT = """## Cold open

Alder makes {alder cold_mean}, that is a lot.

```cue curves
id = "lot"
when = "a lot"
length = "0.5 s"
```

## Wet stop

And now with water on the rotor, Dune hardly notices.
"""
CAPTIONS = """WEBVTT

00:00:01.000 --> 00:00:05.000
so <00:00:01.500>alder <00:00:02.000>makes <00:00:02.400>86.4 <00:00:03.200>newton \
<00:00:03.500>meters <00:00:03.900>that <00:00:04.100>is <00:00:04.300>a <00:00:04.400>lot

00:00:05.500 --> 00:00:09.500
and <00:00:05.700>now <00:00:06.000>with <00:00:06.200>water <00:00:06.600>on <00:00:06.700>the \
<00:00:06.800>rotor <00:00:07.300>dune <00:00:07.700>hardly <00:00:08.200>notices
"""


def _read(
    folder: Path, captions: str = CAPTIONS, script: str = SCRIPT, **episode: str
) -> tuple[Outline, Problems]:
    (folder / "captions.vtt").write_text(captions, encoding="utf-8")
    return read(folder, script, **episode)


def test_beats_and_cues_are_where_they_are_heard(tmp_path: Path) -> None:
    """The recording times what is not written; everything says where its time comes from."""
    outline, problems = _read(tmp_path)
    assert problems.found == []
    first, second = outline.beats
    assert (first.first_frame, first.frames, first.timed_by) == (38, 100, "captions")
    assert (second.first_frame, second.frames, second.timed_by) == (138, 100, "captions")
    assert first.confidence == pytest.approx(1, abs=0.03)
    (cue,) = outline.cues
    assert (cue.first_frame, cue.timed_by) == (108, "captions")
    assert cue.confidence == pytest.approx(1, abs=0.05)
    assert [sentence.first_frame for sentence in first.sentences] == [38]


def test_the_captions_are_kept_on_the_timeline(tmp_path: Path) -> None:
    """What was heard is at hand for checking, beat by beat."""
    outline, _ = _read(tmp_path)
    assert outline.captions == "captions.vtt"
    assert [(h.first_frame, h.end_frame, h.beat, h.line) for h in outline.heard] == [
        (25, 125, "cold-open", 3),
        (138, 238, "wet-stop", 6),
    ]


def test_written_times_win(tmp_path: Path) -> None:
    """An in-point and a length that are written stay, and a voice elsewhere is told."""
    script = SCRIPT.replace(
        "## Wet stop\n", '## Wet stop\n\n```beat\nin = "00:00:10:00"\nlength = "3 s"\n```\n'
    )
    outline, problems = _read(tmp_path, script=script)
    assert (outline.beats[1].first_frame, outline.beats[1].timed_by) == (250, "written")
    assert report(problems) == [("voice-elsewhere", 11)]
    assert "00:00:05:13" in problems.found[0].message


def test_a_heard_beat_gives_way_to_a_written_one(tmp_path: Path) -> None:
    """A length that would reach past the next beat's written in-point is cut, and it is told."""
    script = SCRIPT.replace("# Cold open\n", '# Cold open\n\n```beat\nlength = "9 s"\n```\n')
    written = '## Wet stop\n\n```beat\nin = "00:00:05:13"\n```\n'
    outline, problems = _read(tmp_path, script=script.replace("## Wet stop\n", written))
    first, second = outline.beats
    assert first.first_frame == 38
    assert first.first_frame + first.frames == second.first_frame == 138
    (problem,) = problems.found
    assert (problem.level, problem.code) == ("warning", "beat-shortened")
    assert "loses 5.00 s" in problem.message


def test_captions_may_count_from_the_timecode(tmp_path: Path) -> None:
    """Captions that begin with the hour of the timecode are taken as timecode, and it is said."""
    shifted = CAPTIONS.replace("00:00:0", "01:00:0")
    outline, problems = _read(tmp_path, shifted, start="01:00:00:00")
    assert [beat.first_frame - 90000 for beat in outline.beats] == [38, 138]
    assert report(problems) == [("captions-on-timecode", 3)]
    outline, problems = _read(tmp_path, CAPTIONS, start="01:00:00:00")
    assert [beat.first_frame - 90000 for beat in outline.beats] == [38, 138]
    assert problems.found == []


@pytest.mark.parametrize("rate", ["24000/1001", "24", "25", "30000/1001", "30", "50", "60000/1001"])
def test_heard_times_are_rounded_once_at_every_rate(tmp_path: Path, rate: str) -> None:
    """5.5 s into the recording is the nearest frame at each rate (exact arithmetic)."""
    outline, _ = _read(tmp_path, rate=rate, timecode="non-drop")
    assert outline.beats[1].first_frame == frames_from_s("5.5", Fraction(rate))


def test_a_beat_that_was_not_said_is_told(tmp_path: Path) -> None:
    """A beat missing from the recording keeps its estimate where there is room, and is reported."""
    script = SCRIPT + "\n## The end\n\nGood night, and mind your fingers.\n"
    outline, problems = _read(tmp_path, script=script)
    assert (outline.beats[2].timed_by, outline.beats[2].confidence) == ("speaking rate", 0.0)
    assert report(problems) == [("beat-not-heard", 15)]
    middle = SCRIPT.replace("## Wet stop", "## Lost\n\nNobody ever read this out.\n\n## Wet stop")
    outline, problems = _read(tmp_path, script=middle)
    assert [beat.beat for beat in outline.beats] == ["cold-open", "lost", "wet-stop"]
    assert outline.beats[2].first_frame == 138
    assert report(problems)[0][0] == "beat-not-heard"


def test_a_beat_half_recognised_is_doubtful(tmp_path: Path) -> None:
    """Between a half and three quarters recognised a beat is used, and reported with its share."""
    spoilt = CAPTIONS.replace("hardly", "zebra").replace("notices", "quux").replace("water", "xylo")
    outline, problems = _read(tmp_path, spoilt)
    assert outline.beats[1].timed_by == "captions"
    assert report(problems) == [("doubtful-beat", 11)]
    assert "%" in problems.found[0].message


def test_a_phrase_without_word_times_is_doubtful(tmp_path: Path) -> None:
    """In the middle of a caption without word times a phrase is placed, and reported."""
    outline, problems = _read(tmp_path, re.sub(r"<[^>]*>", "", CAPTIONS))
    assert outline.cues[0].timed_by == "captions"
    assert ("doubtful-cue", 7) in report(problems)
    assert "within" in problems.found[0].message


def test_a_passage_said_twice_is_told(tmp_path: Path) -> None:
    """A spare take is reported with its time and its words."""
    take = "\n00:00:05.000 --> 00:00:05.400\nand now with water on\n"
    outline, problems = _read(tmp_path, CAPTIONS.replace("\n00:00:05.500", f"{take}\n00:00:05.500"))
    assert outline.beats[1].first_frame == 138
    assert report(problems) == [("said-twice", 6)]
    assert "and now with water on" in problems.found[0].message


def test_captions_of_something_else_change_nothing(tmp_path: Path) -> None:
    """Where nothing is recognised, the script keeps its estimate and every beat is reported."""
    other = "WEBVTT\n\n00:00:01.000 --> 00:00:05.000\nla la la di da xyzzy plugh\n"
    outline, problems = _read(tmp_path, other)
    plain, _ = read(tmp_path, SCRIPT)
    assert [b.timed_by for b in outline.beats] == ["speaking rate"] * 2
    assert [code for code, _ in report(problems)] == ["beat-not-heard"] * 2
    assert [b.first_frame for b in outline.beats] == [b.first_frame for b in plain.beats]


def test_faulty_captions_are_errors_of_their_file(tmp_path: Path) -> None:
    """Captions with impossible times are refused by number, and the outline is still read."""
    broken = CAPTIONS.replace("00:00:09.500", "00:00:04.500")
    outline, problems = _read(tmp_path, broken)
    assert outline.beats[0].timed_by == "captions"
    assert [(p.code, p.file, p.line) for p in problems.errors] == [
        ("bad-caption", "captions.vtt", 6)
    ]
