"""Blocks of the outline: ids, keys and times as written."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.errors import Problems
from overlays.outline.reader import read_outline
from tests.outline.bench import make_results, make_session, read, report

CUE = '```cue curves\nlength = "1 s"\n```\n'


def test_ids_are_made_from_beat_and_kind(tmp_path: Path) -> None:
    """A cue without an id gets one from its beat and kind; the second of its kind a number."""
    outline, problems = read(
        tmp_path,
        f"## Cold stop\n```beat\nlength = '9 s'\n```\n{CUE}\n{CUE}\n"
        '```cue lower_third\nlength = "1 s"\n```\n',
    )
    assert [cue.cue for cue in outline.cues] == [
        "cold-stop-curves", "cold-stop-curves-2", "cold-stop-lower-third"
    ]  # fmt: skip
    assert problems.found == []


def test_giving_one_cue_an_id_renames_no_other(tmp_path: Path) -> None:
    """Cues with an id of their own are counted too."""
    outline, _ = read(
        tmp_path,
        f"## Cold\n```beat\nlength = '9 s'\n```\n"
        f'```cue curves\nid = "mine"\nlength = "1 s"\n```\n{CUE}',
    )
    assert {cue.cue for cue in outline.cues} == {"mine", "cold-curves-2"}


@given(st.lists(st.sampled_from(["intro", "extra", "notes", "more"]), unique=True))
def test_ids_are_stable_under_edits_elsewhere(
    tmp_path_factory: pytest.TempPathFactory, others: list[str]
) -> None:
    """Beats added before or after leave a cue's id as it is."""
    folder = tmp_path_factory.mktemp("session")
    before = "".join(f"## {title}\nSome words here.\n{CUE}\n" for title in others)
    outline, _ = read(folder, f"{before}## Cold stop\nWords.\n{CUE}\n## After\nWords.\n{CUE}")
    assert "cold-stop-curves" in {cue.cue for cue in outline.cues}
    assert len({cue.cue for cue in outline.cues}) == len(outline.cues)


def test_ids_are_unique(tmp_path: Path) -> None:
    """The second cue of an id is an error that names the line of the first."""
    _, problems = read(
        tmp_path,
        "## One\nWords.\n```cue curves\nid = 'a'\n```\n"
        "## Two\nWords.\n```cue curves\nid = 'a'\n```\n",
    )
    assert report(problems) == [("duplicate-id", 9)]
    assert "line 3" in problems.found[0].message


def test_equal_headings_are_told_apart(tmp_path: Path) -> None:
    """Beats of the same heading get different ids, and a warning where cues are named after it."""
    outline, problems = read(tmp_path, f"## One\nWords.\n{CUE}\n## One\nWords.\n{CUE}")
    assert [beat.beat for beat in outline.beats] == ["one", "one-2"]
    assert report(problems) == [("same-heading", 7)]


@pytest.mark.parametrize(
    ("block", "code", "line"),
    [
        ('```beat\nlenght = "2 s"\n```', "unknown-key", 3),
        ('```beat\nlength = "2 s"\n```\n```beat\nin = "1 s"\n```', "second-beat-block", 5),
        ('```beat\nlength = "2 s"\nout = "3 s"\n```', "length-and-out", 3),
        ("```beat\nlength = 2\n```", "bad-time", 3),
        ('```beat\nin = "00:00:00:25"\n```', "bad-timecode", 3),
        ('```beat\nlength = "0 s"\n```', "no-length", 3),
        ('```beat\nlength = "30 h"\n```', "absurd-length", 3),
        ('```cue curves\nid = "a b"\n```', "bad-id", 3),
        ('```cue curves\nat = "soon"\n```', "bad-time", 3),
        ("```cue curves\n\nlength = 3\n```", "bad-time", 4),
        ('```cue curves\nwhen = "x"\nevent = "peak"\n```', "two-anchors", 3),
    ],
)
def test_faults_are_told_with_their_line(tmp_path: Path, block: str, code: str, line: int) -> None:
    """Each fault of a block is one error on the line of the key."""
    _, problems = read(tmp_path, f"## One\n{block}\n\nSome words to read aloud.\n")
    assert report(problems) == [(code, line)]


def test_a_misspelt_key_is_guessed(tmp_path: Path) -> None:
    """The nearest key that exists is suggested."""
    _, problems = read(tmp_path, '## One\n```beat\nlenght = "2 s"\n```\nWords.\n')
    assert "'length'" in problems.found[0].remedy


def test_options_are_kept_with_their_lines(tmp_path: Path) -> None:
    """What is neither id nor time goes to the overlay kind as written."""
    outline, _ = read(
        tmp_path,
        '## One\nWords.\n```cue curves\nid = "a"\ntest = "cold"\ngap = ["alder", "dune"]\n'
        'length = "1 s"\n```\n',
    )
    (cue,) = outline.cues
    assert cue.options == {"test": "cold", "gap": ["alder", "dune"]}
    assert (cue.option_lines["test"], cue.option_lines["gap"], cue.line) == (5, 6, 3)


def test_labels_for_the_other_counting_are_told_once(tmp_path: Path) -> None:
    """';' in a non-drop session is read, with one warning for the whole outline."""
    outline, problems = read(
        tmp_path,
        '## One\n```beat\nin = "00:00:01;00"\n```\nWords.\n'
        '## Two\n```beat\nin = "00:00:09;05"\n```\nWords.\n',
    )
    assert [beat.first_frame for beat in outline.beats] == [25, 230]
    assert report(problems) == [("other-counting", 3)]


def test_a_missing_length_of_one_beat_hides_no_fault_of_another(tmp_path: Path) -> None:
    """One pass reports the faults of all beats."""
    (tmp_path / "outline.md").write_text(
        '## One\n```beat\nin = "x"\n```\nA.\n## Two\n```beat\nin = "y"\n```\nB.\n', encoding="utf-8"
    )
    session = make_session(tmp_path)
    problems = Problems()
    assert read_outline(session, make_results(session), problems) is not None
    assert report(problems) == [("bad-time", 3), ("bad-time", 8)]
