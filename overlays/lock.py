"""Folders held by one process at a time, and who holds them.

The system lets go of a lock when its process ends, however it ends: a stale one heals by itself.
Where a file system knows no locks, filelock keeps a file that says which process made it, and
breaks it when that process is gone.
"""

from __future__ import annotations

import os
import socket
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import datetime
from pathlib import Path

from overlays.errors import WorkError
from overlays.files import unwritten

__all__ = ["LOCK_FILE", "held"]

LOCK_FILE = ".tracereel.lock"
_HOLDER_FILE = ".tracereel.holder"
_LONGEST = 200


@contextmanager
def held(folder: Path, what: str) -> Iterator[None]:
    """Make a folder where it is missing, and keep every other process from holding it.

    Parameters
    ----------
    folder : Path
        The folder; one hidden file in it is the lock, another says who holds it.
    what : str
        What is being done to it, such as ``"rendering clips"``, to be told to others.

    Raises
    ------
    WorkError
        If somebody else holds it (``folder-busy``, with the process, machine and since when), it
        cannot be written to, or its disk is full.
    """
    # Imported here because a reader of sessions needs no lock.
    from filelock import FileLock, Timeout

    lock = FileLock(folder / LOCK_FILE, timeout=0)
    holder = folder / _HOLDER_FILE
    try:
        folder.mkdir(parents=True, exist_ok=True)
        lock.acquire()
    except Timeout as error:
        raise WorkError(
            f"{str(folder)!r} is in use: {_told(holder)}.",
            code="folder-busy",
            remedy="Wait until it is done, or choose another folder.",
        ) from error
    except OSError as error:
        raise unwritten(error, folder, folder / LOCK_FILE) from error
    try:
        _sign(holder, what)
        yield
    finally:
        with suppress(OSError):
            holder.unlink(missing_ok=True)
        lock.release()


def _sign(holder: Path, what: str) -> None:
    since = datetime.now().astimezone().isoformat(sep=" ", timespec="seconds")
    text = f"{what} by process {os.getpid()} on {socket.gethostname()} since {since}"
    # The lock holds whether or not anybody can read whose it is.
    with suppress(OSError):
        # A link of that name that came with the folder would lead the writing elsewhere.
        holder.unlink(missing_ok=True)
        holder.write_text(text, encoding="utf-8")


def _told(holder: Path) -> str:
    with suppress(OSError):
        said = holder.read_bytes()[:_LONGEST].decode(errors="replace")
        # Whoever wrote it, it goes to a terminal.
        if plain := "".join(sign for sign in said if sign.isprintable()):
            return plain
    return "another process is at work there"
