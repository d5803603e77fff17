"""Small files that come with a session, read whole: plain files only, and no more than is sensible.

A pipe would never end, a device neither, and a file of a hundred megabytes called session.toml is
none.
"""

from __future__ import annotations

import stat
from pathlib import Path

from overlays.errors import SessionError, TracereelError
from overlays.files import size_text

__all__ = ["kept_bytes", "stored_bytes"]

MOST_KEPT = 200_000_000


def stored_bytes(
    path: Path,
    *,
    largest: int,
    file: str | None = None,
    raises: type[TracereelError] = SessionError,
    remedy: str = "Check which file this is; it holds text only.",
) -> bytes:
    """Read a small file.

    Parameters
    ----------
    path : Path
        The file; links have been judged before (`overlays.session.paths`).
    largest : int
        More bytes are refused without being read.
    file : str, optional
        The file as the user knows it, for messages.
    raises : type of TracereelError
        What is raised.
    remedy : str
        What to do about a file that is too large.

    Raises
    ------
    TracereelError
        Of the given type: if it is no plain file (``not-a-file``) or too large
        (``file-too-large``).
    OSError
        If it is not there, or cannot be read.
    """
    # Asked before it is opened: opening a pipe waits for somebody to write.
    state = path.stat()
    if not stat.S_ISREG(state.st_mode):
        raise raises(
            "this is no plain file.",
            code="not-a-file",
            file=file,
            remedy="Put a file of that name there, no folder, pipe or device.",
        )
    with path.open("rb") as stream:
        # Room is made for what is asked for, so no more is than the file is said to hold.
        content = stream.read(min(state.st_size, largest) + 1)
        if len(content) > state.st_size:  # it has grown
            content += stream.read(largest + 1 - len(content))
    if len(content) > largest:
        raise raises(
            f"the file is larger than {size_text(largest)}.",
            code="file-too-large",
            file=file,
            remedy=remedy,
        )
    return content


def kept_bytes(path: Path) -> bytes:
    """Read a hidden file of our own in a folder that may have come from a stranger.

    Returns
    -------
    bytes
        Empty where it is not there, cannot be read, is no plain file or larger than `MOST_KEPT`:
        what is kept so can be made again.
    """
    try:
        return stored_bytes(path, largest=MOST_KEPT)
    except (OSError, SessionError):
        return b""
