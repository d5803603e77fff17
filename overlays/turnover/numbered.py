"""Numbered picture files: what the codec ``png`` hands over in place of one file."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

from overlays.errors import TurnoverError

__all__ = ["Numbered", "numbered_files"]

_NAME = re.compile(r"(.*?)(\d+)(\.\w+)")


@dataclass(frozen=True, slots=True)
class Numbered:
    """A folder of files numbered without a gap.

    Parameters
    ----------
    folder : Path
        Where they are.
    prefix, suffix : str
        What stands before and after the number in each name.
    first : int
        The lowest number.
    padding : int
        Digits each number is written with at least.
    count : int
        How many files there are.
    """

    folder: Path
    prefix: str
    suffix: str
    first: int
    padding: int
    count: int

    def file(self, index: int) -> Path:
        """Return the file of the clip's frame `index`, counted from 0."""
        return self.folder / f"{self.prefix}{self.first + index:0{self.padding}}{self.suffix}"


def numbered_files(folder: Path) -> Numbered:
    """Read what numbers a folder's files carry.

    Raises
    ------
    TurnoverError
        If there is no file, a name without a number or of another pattern, or a gap.
    """
    names = sorted(path.name for path in folder.iterdir()) if folder.is_dir() else []
    if not names:
        raise _broken(folder, "it holds no files")
    match = _NAME.fullmatch(names[0])
    if match is None:
        raise _broken(folder, f"{names[0]!r} carries no number")
    prefix, number, suffix = match.groups()
    found = Numbered(folder, prefix, suffix, int(number), len(number), len(names))
    for index, name in enumerate(names):
        if found.file(index).name != name:
            raise _broken(folder, f"{name!r} stands where {found.file(index).name!r} belongs")
    return found


def _broken(folder: Path, what: str) -> TurnoverError:
    return TurnoverError(
        f"{folder.name!r} is not a folder of files numbered without a gap: {what}.",
        code="bad-numbering",
        remedy="Render the clip again.",
    )
