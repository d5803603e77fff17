"""What is printed: text from sessions made harmless, problems, JSON; and errors nobody expected.

A terminal obeys control characters, so everything that is printed passes through here. JSON keeps
every character that is in the data, those that could act written as escapes.
"""

from __future__ import annotations

import json
import re
import sys
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from typing import Any

import typer

from overlays.errors import Problem, WorkError
from overlays.model.plain_text import clean_text

__all__ = ["json_text", "last_resort", "printable", "say", "tell"]

# Printable ASCII, tabs and line ends need no second look; long tables hold little else.
_PLAIN = re.compile(r"[\t\n -~]*")
# Controls, direction marks and overrides, separators, surrogates and what is no character at all.
_ACTING = re.compile(
    "[\x7f-\x9f\u00ad\u061c\u180e\u200b\u200e\u200f\u2028-\u202e\u2060-\u206f\ud800-\udfff"
    "\ufeff\ufff9-\ufffb\ufffe\uffff\U000e0000-\U000e007f]"
)


def printable(text: str) -> str:
    r"""Return text as a terminal may have it: tabs and line ends are kept.

    Examples
    --------
    >>> printable("Alder\x1b[2J\tTorque\n")
    'Alder\tTorque\n'
    """
    if _PLAIN.fullmatch(text):
        return text
    lines = text.replace("\r\n", "\n").split("\n")
    return "\n".join(_clean_line(line) for line in lines)


def _clean_line(line: str) -> str:
    if _PLAIN.fullmatch(line):
        return line
    return "\t".join(clean_text(cell, keep_line_ends=True) for cell in line.split("\t"))


def say(what: object, *, err: bool = False, nl: bool = True) -> None:
    """Print to standard output, or standard error.

    Parameters
    ----------
    what : object
        Its text.
    err : bool
        To standard error.
    nl : bool
        With a line end.
    """
    typer.echo(printable(str(what)), err=err, nl=nl)


def tell(problems: Iterable[Problem], *, err: bool = True) -> None:
    """Print problems, a line each."""
    for problem in problems:
        say(" ".join(str(problem).split("\n")), err=err)


def json_text(document: dict[str, Any]) -> str:
    r"""Write a JSON document that is safe to look at in a terminal, and the same document.

    Examples
    --------
    >>> json_text({"name": "é\u202e"})
    '{\n  "name": "é\\u202e"\n}'
    """
    text = json.dumps(document, ensure_ascii=False, indent=2, allow_nan=False)
    return _ACTING.sub(lambda sign: _escaped(sign[0]), text)


def _escaped(sign: str) -> str:
    return json.dumps(sign, ensure_ascii=True)[1:-1]


@contextmanager
def last_resort() -> Iterator[None]:
    """Turn what a machine may do to any program into one clear error of ours.

    Raises
    ------
    WorkError
        Where a file, the memory or the depth of something given fails where nobody expected it.
    """
    for stream in (sys.stdout, sys.stderr):
        # A locale without some letter is no reason to stop.
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="backslashreplace")
    try:
        yield
    except BrokenPipeError:
        raise
    except OSError as error:
        named = f"{error.filename!r}: " if error.filename else ""
        raise WorkError(
            f"{named}{error.strerror or type(error).__name__}.",
            code="system-error",
            remedy="Check the file or folder and its disk, then try again.",
        ) from error
    except MemoryError as error:
        raise WorkError(
            "memory ran out.",
            code="out-of-memory",
            remedy="Close other programs, or use a smaller canvas or shorter logs.",
        ) from error
