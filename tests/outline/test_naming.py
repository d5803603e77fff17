"""Ids: safe, readable and free."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.errors import OutlineError
from overlays.outline.naming import FreeIds, id_from_words, written_id


@pytest.mark.parametrize(
    ("text", "made"),
    [
        ("Cold stop", "cold-stop"),
        ("Öl, kalt!", "öl-kalt"),
        ("東京 2", "東京-2"),
        ("snake_case", "snake-case"),
        ("…", "beat"),
        ("word " * 40, "word-word-word-word-word-word-word-word-word-word-word-word"),
    ],
)
def test_ids_are_made_from_words(text: str, made: str) -> None:
    """Letters and digits of any script in lower case, joined by hyphens, of bounded length."""
    assert id_from_words(text) == made


@given(st.text(max_size=200))
def test_a_made_id_could_have_been_written(text: str) -> None:
    """Whatever the heading, its id passes the rules for ids that are written."""
    made = id_from_words(text)
    bare = "".join(c for c in made if not unicodedata.combining(c))
    assert written_id(bare) == unicodedata.normalize("NFC", bare)


def test_a_taken_id_gets_the_first_free_number() -> None:
    """Numbers begin at two."""
    ids = FreeIds()
    assert [ids.take(name) for name in ("a", "a", "a-2", "b", "a")] == [
        "a", "a-2", "a-2-2", "b", "a-3"
    ]  # fmt: skip


@pytest.mark.parametrize("value", ["cold", "cold-stop_2.b", "9", "öl"])
def test_ids_as_written(value: str) -> None:
    """Letters, digits, hyphens, underscores and full stops are an id."""
    assert written_id(value) == value


@pytest.mark.parametrize("value", ["", "-a", "a b", "a/b", "../x", "a" * 81, 7, None, ["a"], "a\n"])
def test_other_ids_are_refused(value: object) -> None:
    """What could leave a folder, or is no text, is refused."""
    with pytest.raises(OutlineError) as caught:
        written_id(value)
    assert caught.value.code == "bad-id"
