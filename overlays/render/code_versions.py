"""What draws: a digest of the code's source files, and the versions of the libraries it uses."""

from __future__ import annotations

import hashlib
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

__all__ = ["code_digest", "library_versions"]

_PACKAGE = Path(__file__).resolve().parents[1]
# Everything between a clip's content and its file. What comes before is in the content.
_DRAWS = ("draw", "kinds", "style", "render", "model/clip.py", "numbers.py", "units.py")
_LIBRARIES = ("av", "font-hanken-grotesk", "matplotlib", "numpy", "pillow", "scipy")


@cache
def code_digest() -> str:
    """Return the SHA-256 of every source file that has a part in drawing."""
    digest = hashlib.sha256()
    for place in _DRAWS:
        path = _PACKAGE / place
        for file in [path] if path.is_file() else sorted(path.rglob("*.py")):
            digest.update(file.relative_to(_PACKAGE).as_posix().encode() + b"\0")
            digest.update(file.read_bytes() + b"\0")
    return digest.hexdigest()


@cache
def library_versions() -> str:
    """List the libraries that have a part in drawing, with their versions."""
    return " ".join(f"{name}={_version(name)}" for name in _LIBRARIES)


def _version(name: str) -> str:
    try:
        return version(name)
    except PackageNotFoundError:
        return "none"
