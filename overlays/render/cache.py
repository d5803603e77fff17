"""What lies in an output folder already, and what it was made from.

The clips themselves are the cache; beside them lies one hidden file that says what each was made
from (`overlays.render.fingerprint`), where it starts, and how to tell that nobody has touched it.
Losing that file loses nothing but time.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from pathlib import Path
from time import monotonic
from typing import Annotated, Literal

from pydantic import Field, TypeAdapter, ValidationError

from overlays.files import write_text_whole
from overlays.session.stored import kept_bytes

__all__ = ["CACHE_FILE", "Cache", "Record", "digest"]

CACHE_FILE = ".tracereel-clips.json"
_FORMAT: Literal[1] = 1
_SAVE_EVERY_S = 1.0


@dataclass(frozen=True, slots=True)
class Record:
    """One clip in the folder.

    Parameters
    ----------
    made_from : Mapping[str, str]
        Its fingerprint.
    start : str
        Timecode of its first frame.
    size, changed_ns : int
        Bytes, and when the file was changed last; the sum and the latest of a folder's.
    sha256 : str
        See `digest`.
    """

    made_from: Mapping[str, str]
    start: str
    size: int
    changed_ns: int
    sha256: Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]

    @classmethod
    def of(cls, path: Path, *, made_from: Mapping[str, str], start: str, sha256: str) -> Record:
        """Return the record of a clip just written."""
        return cls(made_from, start, *_state(path), sha256)

    def describes(self, path: Path) -> bool:
        """Tell whether a file is the one recorded; one that was only copied or touched is."""
        if not path.exists():
            return False
        size, changed_ns = _state(path)
        if size != self.size:
            return False
        return changed_ns == self.changed_ns or digest(path) == self.sha256


@dataclass(frozen=True, slots=True)
class _Kept:
    """The cache file; one of another format is none."""

    format: Literal[1]
    clips: Mapping[str, Record]


_KEPT = TypeAdapter(_Kept)


class Cache:
    """The records of a folder, by file name.

    Parameters
    ----------
    folder : Path
        Where the clips lie. A cache file that is missing, damaged or of another version of the
        program counts as empty: every clip is rendered then.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._file = folder / CACHE_FILE
        self.records = _read(self._file)
        self._saved_s = 0.0

    def save_soon(self) -> None:
        """Save, unless that was done within the last second; raises as `save`."""
        if monotonic() - self._saved_s >= _SAVE_EVERY_S:
            self.save()

    def save(self) -> None:
        """Write the records of files that are still there.

        Raises
        ------
        WorkError
            If the file cannot be written.
        """
        there = {
            name: asdict(record)
            for name, record in self.records.items()
            if (self._folder / name).exists()
        }
        text = json.dumps({"format": _FORMAT, "clips": there}, indent=1, sort_keys=True)
        write_text_whole(self._file, text + "\n")
        self._saved_s = monotonic()


def digest(path: Path) -> str:
    """Return the SHA-256 of a file, or of the text ``HEX␣␣NAME⏎`` for each file of a folder."""
    if path.is_dir():
        files = sorted(path.iterdir(), key=lambda file: file.name)
        lines = "".join(f"{digest(file)}  {file.name}\n" for file in files)
        return hashlib.sha256(lines.encode()).hexdigest()
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


def _state(path: Path) -> tuple[int, int]:
    states = [file.stat() for file in ([*path.iterdir()] if path.is_dir() else [path])]
    return sum(s.st_size for s in states), max((s.st_mtime_ns for s in states), default=0)


def _read(file: Path) -> dict[str, Record]:
    try:
        return dict(_KEPT.validate_json(kept_bytes(file)).clips)
    except ValidationError:
        # A damaged cache is no error of the user's: it is written anew.
        return {}
