"""The file beside the clips that says what they were made from."""

from __future__ import annotations

import hashlib
import os
from pathlib import Path

import pytest

from overlays.render.cache import CACHE_FILE, Cache, Record, digest

RECORD = (
    '{"format": 1, "clips": {"a": {"made_from": {}, "start": "", "size": 1, "changed_ns": 1, '
    f'"sha256": "%{"0" * 63}"}}}}}}'
)


def _clip(folder: Path, name: str = "clip.mov", data: bytes = b"frames") -> Path:
    file = folder / name
    file.write_bytes(data)
    return file


def _record(file: Path) -> Record:
    return Record.of(file, made_from={"length": "3"}, start="01:00:00:00", sha256=digest(file))


def test_records_are_read_back(tmp_path: Path) -> None:
    """What was saved is there the next time, but for clips that have gone."""
    cache = Cache(tmp_path)
    assert cache.records == {}
    kept = _record(_clip(tmp_path))
    cache.records["clip.mov"] = kept
    cache.records["gone.mov"] = kept
    cache.save()
    assert Cache(tmp_path).records == {"clip.mov": kept}


@pytest.mark.parametrize(
    "text",
    ["", "{", "[]", "null", '{"format": 99, "clips": {}}', '{"format": 1}',
     '{"format": 1, "clips": {"a": {"size": 1}}}', '{"format": 1, "clips": []}', "\xff\xfe",
     "[" * 100_000, RECORD.replace("%", "\\u001b[2J"), RECORD.replace("{}", '"x"')],
)  # fmt: skip
def test_a_damaged_cache_counts_as_empty(tmp_path: Path, text: str) -> None:
    """Nothing a hidden file holds can stop the work."""
    (tmp_path / CACHE_FILE).write_bytes(text.encode("latin-1"))
    assert Cache(tmp_path).records == {}
    (tmp_path / CACHE_FILE).write_text(RECORD.replace("%", "0"), encoding="utf-8")
    assert list(Cache(tmp_path).records) == ["a"]


def test_a_file_untouched_or_only_copied_is_the_one_recorded(tmp_path: Path) -> None:
    """Another time of change alone does not matter: then the bytes decide."""
    file = _clip(tmp_path)
    record = _record(file)
    assert record.describes(file)
    os.utime(file, ns=(1, 1))
    assert record.describes(file)


def test_a_file_edited_or_gone_is_not_the_one_recorded(tmp_path: Path) -> None:
    """Same size or not."""
    file = _clip(tmp_path)
    record = _record(file)
    os.utime(file, ns=(1, 1))
    _clip(tmp_path, data=b"Frames")
    os.utime(file, ns=(2, 2))
    assert not record.describes(file)
    _clip(tmp_path, data=b"more frames")
    assert not record.describes(file)
    file.unlink()
    assert not record.describes(file)


def test_a_folder_of_pictures_is_described_by_all_of_them(tmp_path: Path) -> None:
    """A picture edited, added or missing is noticed."""
    folder = tmp_path / "card"
    folder.mkdir()
    for name in ("000000.png", "000001.png"):
        _clip(folder, name)
    record = _record(folder)
    assert record.describes(folder)
    _clip(folder, "000001.png", b"framed")
    os.utime(folder / "000001.png", ns=(3, 3))
    os.utime(folder / "000000.png", ns=(3, 3))
    assert not record.describes(folder)
    _clip(folder, "000001.png")
    assert record.describes(folder)
    (folder / "000000.png").unlink()
    assert not record.describes(folder)


def test_digests_are_what_sha256sum_prints(tmp_path: Path) -> None:
    """A file's is its own; a folder's that of the listing `sha256sum *` prints (GNU coreutils)."""
    (tmp_path / "b").write_bytes(b"two")
    (tmp_path / "a").write_bytes(b"one")
    one, two = (hashlib.sha256(data).hexdigest() for data in (b"one", b"two"))
    assert digest(tmp_path / "a") == one
    listing = f"{one}  a\n{two}  b\n"
    assert digest(tmp_path) == hashlib.sha256(listing.encode()).hexdigest()
