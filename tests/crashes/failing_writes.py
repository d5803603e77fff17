"""Writes that fail: whatever the program does to the file system below a folder, at the n-th time.

Python tells an audit hook before it opens a file, renames, makes or removes one; the hook refuses.
"""

from __future__ import annotations

import errno
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from tests.audit import opened_to_write

__all__ = ["Failing", "failing"]

_EVENTS = ("open", "os.rename", "os.mkdir", "os.remove", "os.rmdir", "os.truncate", "os.link")


class Failing:
    """Counts the calls that change something below a folder, and fails one of them.

    Parameters
    ----------
    folder : Path
        Below which calls count.
    at : int
        Which call fails, from 0; -1 for none.
    number : int
        The system's number of the error.
    """

    def __init__(self, folder: Path, at: int, number: int = errno.ENOSPC) -> None:
        self.folder, self.at, self.number = str(folder), at, number
        self.calls = 0
        self.failed = ""

    def told(self, event: str, args: tuple[object, ...]) -> None:
        """Take an event of the interpreter's."""
        path = args[0]
        if not isinstance(path, str | os.PathLike) or not str(path).startswith(self.folder):
            return
        if event == "open" and not opened_to_write(args):
            return
        number, self.calls = self.calls, self.calls + 1
        if number == self.at:
            self.failed = f"{event} {path}"
            raise OSError(self.number, os.strerror(self.number), str(path))


_active: Failing | None = None


def _hook(event: str, args: tuple[object, ...]) -> None:
    # A hook cannot be taken out again; it does nothing while nobody is failing.
    if _active is not None and event in _EVENTS:
        _active.told(event, args)


sys.addaudithook(_hook)


@contextmanager
def failing(folder: Path, at: int, number: int = errno.ENOSPC) -> Iterator[Failing]:
    """Fail the n-th change below a folder while the block runs."""
    global _active  # noqa: PLW0603 (the hook is the interpreter's, and there is one)
    _active = Failing(folder, at, number)
    try:
        yield _active
    finally:
        _active = None
