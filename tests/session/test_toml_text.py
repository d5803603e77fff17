"""TOML within limits: whatever goes beyond them is refused before it is parsed."""

from __future__ import annotations

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.session.toml_text import MOST_DEPTH, MOST_ITEMS, TomlRefusedError, toml_text
from tests.session.test_toml_lines import DOCUMENT


def test_a_document_is_read_as_the_library_reads_it() -> None:
    """Brackets, dots and quotation marks within texts and comments count for nothing."""
    busy = "# [[[" + "." * 99 + '\nx = """a " "" [[[' + "." * 99 + '"""""\ny = \'\'\'[[["""\'\'\'\n'
    busy += 'z = "[[[\\"{{{' + "." * 99 + "\"\nw = '[[[" + "." * 99 + "'\n" + "# a = '\n" * 99
    for text in (DOCUMENT, busy, "", 'a = "unclosed', "a = '''unclosed [[[", "=", "a = 1\na = 2"):
        try:
            expected = tomllib.loads(text)
        except tomllib.TOMLDecodeError:
            with pytest.raises(tomllib.TOMLDecodeError):
                toml_text(text)
        else:
            assert toml_text(text) == expected


@given(st.text("[]{}\"'.=,#\\\n a1", max_size=60))
def test_short_documents_are_never_refused(text: str) -> None:
    """Of few characters, the outcome is the library's own; TOML 1.0 by tomllib."""
    try:
        expected: object = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        expected = str(error)
    try:
        found: object = toml_text(text)
    except tomllib.TOMLDecodeError as error:
        found = str(error)
    except TomlRefusedError:
        assert sum(text.count(sign) for sign in "[{.") >= MOST_DEPTH - 1
        return
    assert found == expected


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("a = 1\nx = " + "[" * 21 + "]" * 21, 2),
        ("x = " + "[" * 400_000, 1),
        ("x = " + "{a=" * 100_000 + "1" + "}" * 100_000, 1),
        ("\n\n" + "a." * 20 + "b = 1", 3),
        ("a." * 400_000 + "b = 1", 1),
        ("[" + "a." * 400_000 + "b]", 1),
        ('"a"."b" . ' * 200_000 + "b = 1", 1),
        ("\n".join("a." * 300 + f"b{n} = 1" for n in range(1500)), 1),
        ("x = [" + "1," * 400_000 + "]", 1),
        ("\n".join(f"k{n} = 1" for n in range(MOST_ITEMS + 1)), MOST_ITEMS + 1),
        ("[[w]]\n" * 150_000, MOST_ITEMS // 2 + 1),
        ("x = " + "9" * 5000, 1),
    ],
)
def test_what_goes_beyond_a_limit_is_refused(text: str, line: int) -> None:
    """Depth, parts of a key, number of keys and values, digits of a number: with the line."""
    with pytest.raises(TomlRefusedError) as caught:
        toml_text(text)
    assert caught.value.line == line


def test_as_deep_as_the_limit_is_taken() -> None:
    """Twenty brackets, and keys of twenty parts."""
    assert toml_text("x = " + "[" * MOST_DEPTH + "]" * MOST_DEPTH)
    assert toml_text(".".join("a" * MOST_DEPTH) + " = 1")
    assert len(toml_text("\n".join(f"k{n} = 1" for n in range(MOST_ITEMS)))) == MOST_ITEMS
