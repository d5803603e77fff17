"""What made a result: a digest of source files."""

from __future__ import annotations

import hashlib
from functools import cache
from pathlib import Path

__all__ = ["source_digest"]

_PACKAGE = Path(__file__).resolve().parent


@cache
def source_digest(*places: str) -> str:
    """Return the SHA-256 of source files of this package.

    Parameters
    ----------
    *places : str
        Files and folders, from the package's own folder.
    """
    digest = hashlib.sha256()
    for place in places:
        path = _PACKAGE / place
        for file in [path] if path.is_file() else sorted(path.rglob("*.py")):
            digest.update(file.relative_to(_PACKAGE).as_posix().encode() + b"\0")
            digest.update(file.read_bytes() + b"\0")
    return digest.hexdigest()
