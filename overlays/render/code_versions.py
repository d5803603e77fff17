"""What draws: a digest of the code's source files, and the versions of the libraries it uses."""

from __future__ import annotations

from functools import cache
from importlib.metadata import PackageNotFoundError, version

from overlays.versions import source_digest

__all__ = ["code_digest", "library_versions"]

# Everything between a clip's content and its file. What comes before is in the content.
_DRAWS = ("draw", "kinds", "style", "render", "model/clip.py", "numbers.py", "units.py")
_LIBRARIES = ("av", "font-hanken-grotesk", "matplotlib", "numpy", "pillow", "scipy")


@cache
def code_digest() -> str:
    """Return the SHA-256 of every source file that has a part in drawing."""
    return source_digest(*_DRAWS)


@cache
def library_versions() -> str:
    """List the libraries that have a part in drawing, with their versions."""
    return " ".join(f"{name}={_version(name)}" for name in _LIBRARIES)


def _version(name: str) -> str:
    try:
        return version(name)
    except PackageNotFoundError:
        return "none"
