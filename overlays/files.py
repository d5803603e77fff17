"""Files and folders that appear whole or not at all.

Everything is written under a hidden name beside its target and renamed when it is complete and on
the disk. Whoever looks at the target's name finds the old state or the new one, never a part.
"""

from __future__ import annotations

import errno
import os
import re
import secrets
import shutil
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from overlays.errors import WorkError

__all__ = [
    "check_room",
    "is_leftover",
    "remove_leftovers",
    "scratch_folder",
    "size_text",
    "unwritten",
    "write_text_whole",
    "written_whole",
]

_LEFTOVER = re.compile(r"\.tracereel-[0-9a-f]{12}\.(part|old)(\.\w{1,8})?")
_FULL = (errno.ENOSPC, errno.EDQUOT)
_UNITS = ((10**12, "TB"), (10**9, "GB"), (10**6, "MB"), (10**3, "kB"))


@contextmanager
def written_whole(target: Path) -> Iterator[Path]:
    """Write a file or folder beside its target, and rename it when it is whole.

    The block creates what it likes, a file or a folder, at the path it is given; folders above
    `target` are made where they are missing. Left by an error (or by ^C), nothing stays behind
    and what was there before is untouched.

    Parameters
    ----------
    target : Path
        Where it goes; a file or folder of that name is replaced.

    Yields
    ------
    Path
        Hidden, in the same folder, with the same ending; does not exist yet.

    Raises
    ------
    WorkError
        If the disk is full (``disk-full``, with what is needed and free) or the target cannot be
        written (``cannot-write``). Other errors of the block pass through.

    Examples
    --------
    >>> with written_whole(folder / "notes.txt") as part:  # doctest: +SKIP
    ...     part.write_text("whole")
    """
    part = _hidden(target, "part")
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        yield part
        _to_disk(part)
        _put_in_place(part, target)
    except OSError as error:
        explained = _explained(error, part, target)
        if explained is None:
            raise
        raise explained from error
    finally:
        # After success the hidden name is gone already; after anything else it must go.
        _remove(part)


@contextmanager
def scratch_folder(folder: Path) -> Iterator[Path]:
    """Make a hidden folder inside another (made where missing), and remove it at the end.

    Raises
    ------
    WorkError
        If it cannot be made.
    """
    scratch = _hidden(folder / "scratch", "part")
    try:
        try:
            scratch.mkdir(parents=True)
        except OSError as error:
            explained = _explained(error, scratch, scratch)
            raise explained or error from error
        yield scratch
    finally:
        _remove(scratch)


def write_text_whole(target: Path, text: str) -> None:
    """Write a text file whole: UTF-8, line ends as in `text`.

    Raises
    ------
    WorkError
        As `written_whole`.
    """
    with written_whole(target) as part:
        part.write_text(text, encoding="utf-8", newline="")


def check_room(folder: Path, needed_bytes: int) -> None:
    """Make sure that a folder's disk has room.

    Raises
    ------
    WorkError
        If it has not, with what is needed and free.
    """
    free = shutil.disk_usage(folder).free
    if free < needed_bytes:
        raise _disk_full(folder, f"about {size_text(needed_bytes)}", free)


def is_leftover(name: str) -> bool:
    """Say whether a file or folder of this name is what a killed writer left behind."""
    return _LEFTOVER.fullmatch(name) is not None


def remove_leftovers(folder: Path) -> tuple[str, ...]:
    """Remove what a killed writer left in a folder; call it only while holding the folder.

    Returns
    -------
    tuple of str
        The hidden names removed.
    """
    if not folder.is_dir():
        return ()
    names = sorted(path.name for path in folder.iterdir() if is_leftover(path.name))
    for name in names:
        _remove(folder / name)
    return tuple(names)


def unwritten(error: OSError, target: Path, part: Path) -> WorkError:
    """Return what is told of a file that could not be written.

    Parameters
    ----------
    error : OSError
        Why.
    target : Path
        The file.
    part : Path
        What was written of it so far, if anything.
    """
    if error.errno in _FULL:
        so_far = f"more than the {size_text(_size(part))} written so far"
        there = next(place for place in target.absolute().parents if place.is_dir())
        return _disk_full(target, so_far, shutil.disk_usage(there).free)
    return WorkError(
        f"{str(target)!r} cannot be written: {error.strerror or error}.",
        code="cannot-write",
        remedy="Choose a folder that exists and may be written to.",
    )


def size_text(size_bytes: int) -> str:
    """Write a size for people, in decimal units.

    Examples
    --------
    >>> size_text(1_530_000), size_text(12)
    ('1.5 MB', '12 bytes')
    """
    for factor, unit in _UNITS:
        if size_bytes >= factor:
            return f"{size_bytes / factor:.1f} {unit}"
    return f"{size_bytes} bytes"


def _hidden(target: Path, role: str) -> Path:
    # Short, whatever the target is called, and with its ending: encoders go by that.
    ending = target.suffix if re.fullmatch(r"\.\w{1,8}", target.suffix) else ""
    return target.with_name(f".tracereel-{secrets.token_hex(6)}.{role}{ending}")


def _to_disk(path: Path) -> None:
    """Make the system write a file, or a folder with all in it, to the disk."""
    for folder, _, names in os.walk(path):
        for name in names:
            _sync(Path(folder) / name)
        _sync_folder(Path(folder))
    if path.is_file():
        _sync(path)


def _sync(file: Path) -> None:
    with file.open("rb+") as stream:
        os.fsync(stream.fileno())


def _sync_folder(folder: Path) -> None:
    if os.name == "nt":  # a folder has no handle there that could be flushed
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    except OSError as error:
        # Some network file systems know no such thing; the files themselves are written.
        if error.errno not in (errno.EINVAL, errno.ENOTSUP):
            raise
    finally:
        os.close(handle)


def _put_in_place(part: Path, target: Path) -> None:
    if not target.is_dir() or target.is_symlink():
        part.replace(target)
        _sync_folder(target.parent)
        return
    # A folder in the way cannot be replaced in one step: it steps aside, and back if need be.
    old = _hidden(target, "old")
    target.replace(old)
    try:
        part.replace(target)
    except BaseException:
        old.replace(target)
        raise
    _sync_folder(target.parent)
    _remove(old)


def _remove(path: Path) -> None:
    if path.is_dir() and not path.is_symlink():
        shutil.rmtree(path, ignore_errors=True)
        return
    # Whatever led here matters more than a hidden file that cannot be removed just now.
    with suppress(OSError):
        path.unlink(missing_ok=True)


def _explained(error: OSError, part: Path, target: Path) -> WorkError | None:
    if error.errno in _FULL:
        return unwritten(error, target, part)
    names = [str(name) for name in (error.filename, error.filename2) if name is not None]
    ours = (str(part), str(target), str(target.parent))
    if any(name.startswith(ours) or name in map(str, target.parents) for name in names):
        return unwritten(error, target, part)
    return None


def _disk_full(place: Path, needed: str, free: int) -> WorkError:
    return WorkError(
        f"the disk is full: {str(place)!r} needs {needed}, and {size_text(free)} is free.",
        code="disk-full",
        remedy="Make room, or choose a folder on another disk.",
    )


def _size(path: Path) -> int:
    if path.is_file():
        return path.stat().st_size
    return sum(file.stat().st_size for file in path.rglob("*") if file.is_file())
