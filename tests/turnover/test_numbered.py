"""Folders of numbered pictures."""

from __future__ import annotations

from pathlib import Path

import pytest

from overlays.errors import TurnoverError
from overlays.turnover.numbered import numbered_files


def _folder(root: Path, *names: str) -> Path:
    folder = root / "a"
    folder.mkdir()
    for name in names:
        (folder / name).write_bytes(b"")
    return folder


def test_numbers_are_read_off_the_names(tmp_path: Path) -> None:
    """Prefix, first number, padding and count describe the folder; a frame finds its file."""
    found = numbered_files(_folder(tmp_path, "a_0012.png", "a_0013.png"))
    assert (found.prefix, found.suffix, found.first) == ("a_", ".png", 12)
    assert (found.padding, found.count) == (4, 2)
    assert found.file(1).name == "a_0013.png"


@pytest.mark.parametrize(
    ("names", "says"),
    [
        ((), "holds no files"),
        (("a.png",), "carries no number"),
        (("1.png", "3.png"), "'3.png' stands where '2.png' belongs"),
        (("1.png", "b2.png"), "belongs"),
        (("1.png", "2.png", "notes.txt"), "belongs"),
    ],
)
def test_anything_else_is_refused(tmp_path: Path, names: tuple[str, ...], says: str) -> None:
    """A gap, a stray file or nothing at all is said by name."""
    with pytest.raises(TurnoverError, match=says):
        numbered_files(_folder(tmp_path, *names))
