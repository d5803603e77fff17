"""File names that every system takes: the rules, and names made from anything."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from overlays.model.filename import MOST_BYTES, refuse_file_name, safe_file_name
from tests.outside import rows

ANY_TEXT = st.text(st.characters(exclude_categories=()), max_size=400)


def test_the_case_of_output_names_comes_out_as_listed() -> None:
    """Names that Windows or common file systems reject are refused, look-alikes are not."""
    (row,) = rows("safe_file_names")
    refused = [name for name in row.input if refuse_file_name(name) is not None]
    assert refused == [name for name in row.input if name in row.expected["refuse"]]
    assert set(row.input) - set(refused) == set(row.expected["fine"])


@pytest.mark.parametrize(
    ("name", "reason"),
    [
        ("", "empty"),
        ("aux", "device"),
        ("Com1.tar.gz", "device"),
        ("COM¹.txt", "device"),
        ("nul .mov", "device"),
        ("a/b", "'/'"),
        ("a\\b", "'\\\\'"),
        ("..", "ends in '.'"),
        ("end ", "ends in ' '"),
        (" begin", "begins with"),
        ("a\nb", "U+000A"),
        ("a\x00b", "U+0000"),
        ("pic\u202egpj.exe", "U+202E"),
        ("zero\u200bwidth", "U+200B"),
        ("\ud800", "U+D800"),
        ("é" * 128, "256 bytes"),
        (unicodedata.normalize("NFD", "Öl.mov"), "decomposed"),
    ],
)
def test_a_refusal_names_its_reason(name: str, reason: str) -> None:
    """Each rule is told in words that name what was found."""
    assert reason in (refuse_file_name(name) or "")


@pytest.mark.parametrize(
    "name", ["ok_name.mov", "auxiliary.mov", "com10", "Öl 3 – kurz.csv", "東京.mov", "é" * 127]
)
def test_good_names_pass_both_ways(name: str) -> None:
    """A usable name is neither refused nor, where short enough, changed."""
    assert refuse_file_name(name) is None
    if len(name.encode()) <= MOST_BYTES:
        assert safe_file_name(name) == name


@given(ANY_TEXT, st.sampled_from(["", ".mov", ".webm", ".tar.gz"]))
@example("CON", ".mov")
@example("lpt1. ", "")
@example("a" * 300, ".mov")
@example("e" + "\u0301" * 300, ".mov")
@example("e\u200d\u0301", "")
@example("con\u200b", "")
def test_any_text_becomes_a_usable_name_and_stays_it(text: str, ending: str) -> None:
    """Whatever goes in, the name is usable, short enough, and unchanged when made again."""
    name = safe_file_name(text, ending=ending)
    assert refuse_file_name(name) is None
    assert name.endswith(ending)
    assert len(name.encode()) <= MOST_BYTES
    assert safe_file_name(name) == name


def test_two_long_texts_keep_two_names() -> None:
    """Shortening does not let texts meet that differ only at the end."""
    assert safe_file_name("x" * 500 + "1") != safe_file_name("x" * 500 + "2")


@pytest.mark.parametrize("ending", ["mov", ".", ".m:v", "./x", "." + "x" * 200])
def test_a_wrong_ending_is_refused(ending: str) -> None:
    """An ending that is none, or leaves no room, is the caller's mistake."""
    with pytest.raises(ValueError, match=r"ending|room"):
        safe_file_name("a", ending=ending)
