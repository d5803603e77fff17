"""TOML that comes with a session, read within limits.

`tomllib` follows brackets by recursion, and takes a time that grows with the square of what a
dotted key is long. Both are bounded here before it looks at the text.
"""

from __future__ import annotations

import re
import tomllib
from typing import Any

__all__ = ["MOST_DEPTH", "MOST_ITEMS", "TomlRefusedError", "toml_text"]

MOST_DEPTH = 20  # brackets in each other, and parts of a dotted key
MOST_ITEMS = 30_000  # keys, tables and values of arrays
# Texts and comments as a whole, so that what stands in them counts for nothing. One that is never
# closed runs to its line's end here and is refused by the parser.
_TOKEN = re.compile(
    r'"""(?:[^"\\]++|\\.|"(?!""))*+(?:"{3,5})?'
    r"|'''(?:[^']++|'(?!''))*+(?:'{3,5})?"
    r'|"(?:[^"\\\n]++|\\.)*+"?'
    r"|'[^'\n]*+'?"
    r"|#[^\n]*+"
    r"|(?P<open>[\[{])|(?P<close>[\]}])|(?P<dot>\.)|(?P<item>[=,])|(?P<end>\n)"
    r"|[^\"'#\[\]{}.=,\n]++",
    re.DOTALL,
)


class TomlRefusedError(ValueError):
    """The text goes beyond a limit; the message says which, as part of a sentence."""

    def __init__(self, message: str, line: int) -> None:
        super().__init__(message)
        self.line = line


def toml_text(text: str) -> dict[str, Any]:
    """Read a TOML document of a session.

    Parameters
    ----------
    text : str
        The document; its size has been bounded by whoever read it.

    Raises
    ------
    TomlRefusedError
        If brackets lie deeper than `MOST_DEPTH`, a dotted key has more parts than that, there are
        more than `MOST_ITEMS` keys and values, or a number has thousands of digits.
    tomllib.TOMLDecodeError
        If it is not TOML.

    Examples
    --------
    >>> toml_text("a.b = [1]")
    {'a': {'b': [1]}}
    """
    _bound(text)
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        raise
    except ValueError as error:
        # Python turns no text of more than 4300 digits into a number.
        raise TomlRefusedError("a number has thousands of digits", 1) from error


def _bound(text: str) -> None:
    depth = parts = items = 0
    for token in _TOKEN.finditer(text):
        kind = token.lastgroup
        if kind is None:
            continue
        if kind == "dot":
            parts += 1
        else:
            parts = 0
            depth += (kind == "open") - (kind == "close")
            items += kind in ("open", "item")
        if max(depth, parts + 1) > MOST_DEPTH or items > MOST_ITEMS:
            raise TomlRefusedError(_why(depth, items), text.count("\n", 0, token.start()) + 1)


def _why(depth: int, items: int) -> str:
    if items > MOST_ITEMS:
        return f"there are more than {MOST_ITEMS} keys and values"
    if depth > MOST_DEPTH:
        return f"the brackets lie too deep in each other, expected {MOST_DEPTH} at most"
    return f"a key has more than {MOST_DEPTH} parts"
