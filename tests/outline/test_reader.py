"""The outline as a whole: what makes it unreadable, and what a session gives it."""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overlays.errors import Problems
from overlays.outline.reader import read_outline
from tests.outline.bench import make_results, make_session, read, report
from tests.outline.voices import seeded

SCRIPT = """# Pads

## Cold open

```beat
in = "00:00:01:00"
length = "8 s"
```

Alder makes {alder cold_mean}.

```cue curves
id = "all"
at = "1 s"
length = "5 s"
test = "cold"
```

## The end

That was it. Good night, and mind your fingers.
"""


def _read(folder: Path, **episode: str) -> Problems:
    session = make_session(folder, **episode)
    problems = Problems()
    assert read_outline(session, make_results(session), problems) is None
    return problems


def test_a_script_becomes_beats_and_cues(tmp_path: Path) -> None:
    """Beats and cues come in order of time, each with what belongs to it."""
    outline, problems = read(tmp_path, SCRIPT)
    assert problems.found == []
    assert [(b.beat, b.first_frame, b.frames, b.line) for b in outline.beats] == [
        ("cold-open", 25, 200, 3),
        ("the-end", 225, 90, 19),
    ]
    assert [(c.cue, c.first_frame, c.frames) for c in outline.cues] == [("all", 50, 125)]
    assert outline.beats[0].narration == "Alder makes 86.4 N·m."
    assert outline.beats[0].figures == (("cold_mean", "alder"),)
    assert (outline.file, outline.captions, outline.heard) == ("outline.md", "", ())


def test_without_a_script_there_is_no_outline(tmp_path: Path) -> None:
    """A missing file is one error with the file's name."""
    problems = _read(tmp_path)
    assert [(p.code, p.file) for p in problems.found] == [("no-outline", "outline.md")]


def test_without_beats_there_is_no_outline(tmp_path: Path) -> None:
    """A script without level-two headings is one error that says how to write one."""
    (tmp_path / "outline.md").write_text("# Title\n\nText.\n", encoding="utf-8")
    problems = _read(tmp_path)
    assert report(problems) == [("no-beat", None)]
    assert "## …" in problems.found[0].remedy


@pytest.mark.parametrize(
    ("episode", "code", "field"),
    [
        ({"start": "00:01:00;00", "rate": "30000/1001"}, "bad-timecode", "episode.start"),
        ({"start": "soon"}, "bad-timecode", "episode.start"),
        ({"timecode": "drop"}, "no-drop-frame", "episode.timecode"),
        ({"speaking_rate": "5/min"}, "bad-speaking-rate", "episode.speaking_rate"),
        ({"speaking_rate": "9000/min"}, "bad-speaking-rate", "episode.speaking_rate"),
        ({"speaking_rate": "3 kg"}, "unit-clash", "episode.speaking_rate"),
    ],
)
def test_the_sessions_own_times_have_to_be_right(
    tmp_path: Path, episode: dict[str, str], code: str, field: str
) -> None:
    """A wrong start, counting or speaking rate is an error of session.toml, by its field."""
    (tmp_path / "outline.md").write_text(SCRIPT, encoding="utf-8")
    problems = _read(tmp_path, **episode)
    assert [(p.code, p.file) for p in problems.found] == [(code, "session.toml")]
    assert problems.found[0].message.startswith(field)


def test_the_default_start_serves_both_ways_of_counting(tmp_path: Path) -> None:
    """01:00:00:00 is frame 107892 in drop-frame and 108000 in non-drop (SMPTE ST 12-1)."""
    for counting, frame in (("drop", 107892), ("non-drop", 108000)):
        outline, _ = read(
            tmp_path, "## One\nWords.\n", rate="30000/1001", timecode=counting, start="01:00:00:00"
        )
        assert outline.beats[0].first_frame == frame
        assert outline.timebase.rate == Fraction(30000, 1001)


def test_one_pass_tells_everything(tmp_path: Path) -> None:
    """Faults of several kinds in several beats are all reported, in one pass."""
    _, problems = read(
        tmp_path,
        "## One\nIt makes {aldr cold_mean}.\n```cue curves\nat = 2 s\n```\n"
        '## Two\n```beat\nlenght = "2 s"\n```\n{fjord cold_mean} again.\n'
        '## Three\nWords.\n```cue curves\nat = "99 s"\n```\n',
    )
    assert report(problems) == [
        ("unknown-entry", 2), ("bad-toml", 4), ("unknown-key", 8), ("missing-figure", 10),
        ("cue-outside-beat", 14),
    ]  # fmt: skip


def test_two_captions_are_one_too_many(tmp_path: Path) -> None:
    """Which captions are the voice is not guessed."""
    for name in ("captions.srt", "captions.vtt"):
        (tmp_path / name).write_text("WEBVTT\n", encoding="utf-8")
    _, problems = read(tmp_path, SCRIPT)
    assert [problem.code for problem in problems.found] == ["two-captions"]


def _mutated(text: str, seed: int) -> str:
    """Damage a script the way slips of hand and editors do."""
    rng = seeded(seed)
    pieces = [
        "```",
        "{",
        "}",
        '"',
        "\n",
        "## ",
        "beat",
        "cue ",
        "[",
        "=",
        "-1 s",
        "\t",
        "é",
        "---\n",
    ]
    for _ in range(rng.randint(1, 6)):
        place = rng.randrange(len(text))
        cut = rng.choice([0, 0, 1, 5, 40])
        text = text[:place] + rng.choice(["", *pieces]) + text[place + cut :]
    return text


def test_damaged_scripts_give_errors_not_crashes(tmp_path: Path) -> None:
    """Three hundred damaged scripts (seeded) are read or refused, each fault with a remedy."""
    session = make_session(tmp_path)
    results = make_results(session)
    told = 0
    for seed in range(300):
        (tmp_path / "outline.md").write_text(_mutated(SCRIPT, seed), encoding="utf-8")
        problems = Problems()
        outline = read_outline(session, results, problems)
        told += bool(problems.found)
        assert outline is not None or problems.errors
        assert all(p.message and p.remedy and p.code for p in problems.found)
        for beat in outline.beats if outline else ():
            assert beat.frames > 0
            assert all(cue.frames > 0 for cue in beat.cues)
    assert told > 150


@settings(max_examples=30)
@given(st.lists(st.sampled_from(["at", "length", "out", "when", "event", "id"]), unique=True),
       st.one_of(st.integers(), st.floats(), st.booleans(), st.text(max_size=20),
                 st.lists(st.integers(), max_size=3)))  # fmt: skip
def test_any_value_of_any_key_is_read_or_refused(
    tmp_path_factory: pytest.TempPathFactory, keys: list[str], value: object
) -> None:
    """Whatever TOML value a timing key has, the outline is read to the end."""
    try:
        written = json.dumps(value, ensure_ascii=False)
    except ValueError:
        return
    block = "".join(f"{key} = {written}\n" for key in keys)
    script = f"## One\nSome words.\n```cue curves\n{block}```\n"
    folder = tmp_path_factory.mktemp("session")
    try:
        (folder / "outline.md").write_text(script, encoding="utf-8")
    except UnicodeEncodeError:  # lone surrogates cannot be in a file
        return
    session = make_session(folder)
    problems = Problems()
    outline = read_outline(session, make_results(session), problems)
    assert outline is not None or problems.errors
