"""A fenced block of the outline: TOML, with the line of every key in the outline."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from pydantic_core import PydanticCustomError

from overlays.errors import OutlineError
from overlays.model.spec import shown_text
from overlays.session.toml_lines import key_lines
from overlays.session.toml_text import TomlRefusedError, toml_text

__all__ = ["Block", "read_block"]

_PLACE = re.compile(r" \(at (?:line (\d+), column (\d+)|end of document)\)$")


@dataclass(frozen=True, slots=True)
class Block:
    """A block as written.

    Parameters
    ----------
    kind : str
        ``"beat"``, or the kind of the cue.
    values : Mapping[str, Any]
        Its TOML.
    line : int
        Line of its opening fence in the outline.
    lines : Mapping[str, int]
        Line of each dotted key in the outline.
    """

    kind: str
    values: Mapping[str, Any]
    line: int
    lines: Mapping[str, int]

    def line_of(self, key: str) -> int:
        """Return a key's line, or the block's."""
        return self.lines.get(key, self.line)


def read_block(kind: str, text: str, *, line: int) -> Block:
    """Read a block's TOML.

    Parameters
    ----------
    kind : str
        What its fence says.
    text : str
        What stands between the fences.
    line : int
        Line of the opening fence.

    Raises
    ------
    OutlineError
        If it is no TOML, with the line in the outline.
    """
    try:
        values = toml_text(text)
    except tomllib.TOMLDecodeError as error:
        raise _bad_toml(str(error), text, line) from error
    except TomlRefusedError as error:
        at = f"{error} (at line {error.line}, column 1)"
        raise _bad_toml(at, text, line) from error
    block = Block(
        kind, values, line, {key: line + inside for key, inside in key_lines(text).items()}
    )
    for key, value in values.items():
        _check_texts(value, key, block)
    return block


def _check_texts(value: object, key: str, block: Block) -> None:
    """Refuse texts that cannot be shown, however deep they lie within a key's value."""
    if isinstance(value, str):
        try:
            shown_text(value)
        except PydanticCustomError as error:
            context = error.context or {}
            raise OutlineError(
                str(context["said"]),
                code=str(context["code"]),
                line=block.line_of(key),
                field=key[:60],
                remedy=str(context["remedy"]),
            ) from error
    elif isinstance(value, dict):
        for part in (*value, *value.values()):
            _check_texts(part, key, block)
    elif isinstance(value, list):
        for part in value:
            _check_texts(part, key, block)


def _bad_toml(message: str, text: str, line: int) -> OutlineError:
    match = _PLACE.search(message)
    inside = int(match[1]) if match and match[1] else max(1, len(text.splitlines()))
    column = f", column {match[2]}" if match and match[2] else ""
    what = _PLACE.sub("", message)
    return OutlineError(
        f"the block is not TOML: {what[:1].lower()}{what[1:]}{column}.",
        code="bad-toml",
        line=line + inside if match else line,
        remedy='Write each option as key = value, text in quotes: at = "2 s".',
    )
