"""TOML of a block: values, the line of every key, and errors on the right line."""

from __future__ import annotations

import pytest

from overlays.errors import OutlineError
from overlays.outline.block import read_block


def test_every_key_has_its_line() -> None:
    """Lines count in the outline, through arrays over several lines and inline tables."""
    text = 'entries = [\n  "a",\n  "b",\n]\n"gap at" = 1\nevent = { what = "peak" }\n'
    block = read_block("curves", text, line=10)
    assert block.values["entries"] == ["a", "b"]
    assert (block.lines["entries"], block.lines["gap at"], block.lines["event"]) == (11, 15, 16)
    assert block.line_of("event.what") == 16
    assert block.line_of("nowhere") == 10


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ('a = 1\nb = 2 s\nc = "x"\n', 12),
        ("a = 1\na = 2\n", 12),
        ("a = [1,\n2\n", 12),
        ('a = """x\ny\n', 12),
        ("= 3\n", 11),
        ("a\n", 11),
    ],
)
def test_bad_toml_names_its_line(text: str, line: int) -> None:
    """An error of the TOML reader is told with the line of the outline it stands on."""
    with pytest.raises(OutlineError) as caught:
        read_block("curves", text, line=10)
    assert (caught.value.code, caught.value.line) == ("bad-toml", line)


@pytest.mark.parametrize(
    "text",
    [
        "a = " + "[" * 5000,
        "a = " + "9" * 6000,
        "a." * 3000 + "b = 1",
        "[" + "a." * 30_000 + "b]",
        "a = " + "{a=" * 200 + "1" + "}" * 200,
    ],
)
def test_absurd_toml_is_an_error_too(text: str) -> None:
    """Nesting thousands deep and numbers of thousands of digits are refused, not a crash."""
    with pytest.raises(OutlineError) as caught:
        read_block("curves", text, line=10)
    assert caught.value.code == "bad-toml"


def test_an_empty_block_is_fine() -> None:
    """A cue may leave everything to defaults."""
    assert read_block("curves", "", line=3).values == {}
