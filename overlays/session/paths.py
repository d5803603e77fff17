"""Which files a session may name.

A session from a stranger is safe to open: a path in it is relative, written with ``/``, and stays
inside the session's folder, links followed. The exceptions are the two files that every episode of
a season shares, its ledger and its rules: they may lie beside the session, one folder up
(``../ledger.csv``, ``../season/rules.toml``), and must end in ``.csv`` and ``.toml``.
"""

from __future__ import annotations

import re
from pathlib import Path, PurePosixPath

from overlays.errors import SessionError

__all__ = ["inside", "ledger_path", "rules_path"]


def inside(folder: Path, written: str) -> Path:
    """Return the file a session names.

    Parameters
    ----------
    folder : Path
        The session's folder.
    written : str
        The path as written. The file need not exist.

    Raises
    ------
    SessionError
        If the path is absolute, empty, not written with ``/``, or leaves the folder, by ``..`` or
        by a link.
    """
    parts = _parts(written)
    path = folder.joinpath(*parts)
    if ".." in parts or not path.resolve().is_relative_to(folder.resolve()):
        raise _leaves(written, "Copy the file into the session's folder and name it from there.")
    return path


def ledger_path(folder: Path, written: str) -> Path:
    """Return the season's ledger, in the session's folder or beside it.

    Raises
    ------
    SessionError
        As `inside`, except that the path may begin with one ``..``; also if it does not end in
        ``.csv``.
    """
    return _shared(folder, written, "ledger", ".csv")


def rules_path(folder: Path, written: str) -> Path:
    """Return the season's rules, in the session's folder or beside it.

    Raises
    ------
    SessionError
        As `ledger_path`, for ``.toml``.
    """
    return _shared(folder, written, "rules", ".toml")


def _shared(folder: Path, written: str, what: str, ending: str) -> Path:
    parts = _parts(written)
    path = folder.resolve().joinpath(*parts)
    if not written.casefold().endswith(ending):
        raise SessionError(
            f"found {written!r}; expected a file ending in {ending}.",
            code=f"bad-{what}-name",
            remedy=f'Name it like "../{what}{ending}".',
        )
    season = folder.resolve().parent
    if ".." in parts[1:] or not path.resolve().is_relative_to(season):
        remedy = "Keep the file in the session's folder, or beside that folder."
        raise _leaves(written, remedy)
    return path


def _parts(written: str) -> tuple[str, ...]:
    absolute = written.startswith(("/", "~")) or re.match(r"[A-Za-z]:", written)
    if not written or absolute or "\\" in written or any(ord(sign) < 32 for sign in written):
        raise SessionError(
            f"found {written!r}; expected a path from the session's folder, written with '/'.",
            code="bad-path",
            remedy='Write it like "logs/alder_cold_1.csv".',
        )
    return PurePosixPath(written).parts


def _leaves(written: str, remedy: str) -> SessionError:
    return SessionError(
        f"{written!r} leaves the session's folder; expected a file inside it.",
        code="path-leaves-session",
        remedy=remedy,
    )
