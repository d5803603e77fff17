"""The script as Markdown: what is read aloud, what is a note, what is a block, what is refused."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.errors import OutlineError, Problems
from overlays.outline.script import Passage, read_script, read_text
from tests.outline.bench import report

FENCE = "```"


def _read(text: str) -> tuple[tuple[Passage, ...], Problems]:
    problems = Problems()
    return read_script(text, problems, file="outline.md"), problems


def test_a_heading_of_level_two_opens_a_passage() -> None:
    """Passages begin at level-two headings; the title above them belongs to none."""
    passages, problems = _read(
        "# Pads\nintro\n\n## One\nfirst\n\n### aside\n## Two\nsecond\nline\n"
    )
    assert [(p.title, p.line) for p in passages] == [("One", 4), ("Two", 8)]
    assert [(t.text, t.line) for t in passages[1].texts] == [("second\nline", 9)]
    assert problems.found == []


def test_notes_are_not_read_aloud() -> None:
    """Block quotes and comments are notes; list items and emphasis are read."""
    passages, problems = _read(
        "## One\n> look up\n\n- says *this*\n- and `that`\n\n<!-- not this\nnor this -->\n\nEnd.\n"
    )
    assert [t.text for t in passages[0].texts] == ["says this", "and that", "End."]
    assert problems.found == []


def test_text_that_looks_lost_is_told() -> None:
    """Indented text and HTML would vanish from the narration, so a warning says so."""
    _, problems = _read("## One\n\n    four spaces\n\n<div>boxed</div>\n\ntext\n")
    assert report(problems) == [("text-not-read", 3), ("text-not-read", 5)]


def test_escaped_braces_stay_braces() -> None:
    r"""``\{`` opens no reference."""
    passages, _ = _read("## One \\{a\\}\nA \\{b\\} and {c d}.\n")
    assert passages[0].title == "One {a}"
    assert "{c d}" in passages[0].texts[0].text
    assert "{b}" not in passages[0].texts[0].text


def test_blocks_belong_to_their_passage() -> None:
    """Blocks of kind beat and cue are kept in order, with their lines."""
    passages, problems = _read(
        f'## One\n{FENCE}beat\nlength = "2 s"\n{FENCE}\n\n~~~cue curves\ntest = "cold"\n~~~\n'
    )
    assert [(b.kind, b.line, dict(b.lines)) for b in passages[0].blocks] == [
        ("beat", 2, {"length": 3}),
        ("curves", 6, {"test": 7}),
    ]
    assert problems.found == []


@pytest.mark.parametrize(
    ("text", "code", "line"),
    [
        ("## One\n```cues curves\n```\n", "unknown-block", 2),
        ("## One\n```cue\n```\n", "unknown-block", 2),
        ("## One\n```cue a b\n```\n", "unknown-block", 2),
        ("## One\n```\nx = 1\n```\n", "unknown-block", 2),
        ('```cue curves\ntest = "a"\n```\n## One\n', "block-before-beat", 1),
        ("## One\n```cue curves\ntest = 'a'\n\n## Two\nText\n", "unclosed-block", 2),
        ("## One\n\nSome text\n---\n", "underlined-heading", 3),
        ("## \ntext\n", "bad-heading", 1),
        (f"## {'x' * 201}\n", "bad-heading", 1),
        ('## One\n```cue curves\nid = "a"\nat = 2 s\n```\n', "bad-toml", 4),
    ],
)
def test_what_is_wrong_is_told_with_its_line(text: str, code: str, line: int) -> None:
    """Each fault gives one error, on its own line."""
    _, problems = _read(text)
    assert report(problems) == [(code, line)]
    assert problems.errors[0].remedy


def test_a_misspelt_block_is_guessed() -> None:
    """A word near to one that exists is suggested."""
    _, problems = _read("## One\n```cues curves\n```\n")
    assert "Did you mean 'cue'?" in problems.found[0].remedy


def test_an_unclosed_block_hides_nothing_before_it() -> None:
    """The passages before an unclosed block are still read."""
    passages, _ = _read("## One\nfirst\n\n## Two\n```beat\nlength = '1 s'\n")
    assert [p.title for p in passages] == ["One", "Two"]


def test_a_byte_order_mark_is_no_text(tmp_path: Path) -> None:
    """UTF-8 is read with or without its mark."""
    path = tmp_path / "outline.md"
    path.write_bytes(b"\xef\xbb\xbf## \xc3\x96l\n")
    assert read_text(path, file="outline.md") == "## Öl\n"


@pytest.mark.parametrize(
    ("content", "code", "line"),
    [
        (b"## One\nna\xefve\n", "not-utf8", 2),
        (b"## One\n\nBell \x07 here\n", "control-character", 3),
        (b"## One\nEscape \x1b[2J\n", "control-character", 2),
        (b"x" * 200_001, "file-too-large", None),
    ],
)
def test_files_that_are_no_script_are_refused(
    tmp_path: Path, content: bytes, code: str, line: int | None
) -> None:
    """Wrong encodings, control characters and huge files are refused, with the line if any."""
    path = tmp_path / "outline.md"
    path.write_bytes(content)
    with pytest.raises(OutlineError) as caught:
        read_text(path, file="outline.md")
    assert (caught.value.code, caught.value.line) == (code, line)


def test_a_missing_file_says_how_to_write_one(tmp_path: Path) -> None:
    """Without an outline the error names the file that is expected."""
    with pytest.raises(OutlineError, match="cannot be read") as caught:
        read_text(tmp_path / "outline.md", file="outline.md")
    assert "outline.md" in caught.value.remedy


@given(st.text(max_size=400))
def test_any_text_is_read_or_refused(text: str) -> None:
    """Whatever stands in a script, reading it ends with passages and problems, never otherwise."""
    passages, problems = _read(text)
    assert all(passage.title for passage in passages)
    assert all(problem.file == "outline.md" and problem.line for problem in problems.found)


@pytest.mark.parametrize(
    ("text", "line"),
    [
        (f"## One\n\n{'word ' * 4001}\n", 3),
        ("## One\n" + "\n\nNobody reads this aloud in one go." * 3000, 5886),
        (f"## One\n\n{'*a_' * 60_000}\n", 3),
    ],
)
def test_a_script_that_nobody_reads_aloud_is_refused(text: str, line: int) -> None:
    """A paragraph of half an hour, or a script of hours: before its markup is looked at."""
    with pytest.raises(OutlineError) as caught:
        _read(text)
    assert (caught.value.code, caught.value.line) == ("text-too-long", line)


def test_comments_in_a_row_are_told_apart_at_once() -> None:
    """There are 2^n ways to cut n comments into stretches from mark to mark; one is looked at."""
    passages, problems = _read("## One\n\n" + "<!-- a --> " * 400 + "\n\nText.\n")
    assert (problems.found, [text.text for text in passages[0].texts]) == ([], ["Text."])
    _, problems = _read("## One\n\n" + "<!-- a --> " * 400 + "lost\n")
    assert report(problems) == [("text-not-read", 3)]
