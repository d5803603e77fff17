"""The machine itself: interpreter, processors, memory, disks, folders, letters."""

from __future__ import annotations

import locale
import os
import platform
import shutil
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from overlays.doctor.finding import MachineFinding
from overlays.files import size_text
from overlays.render.workers import memory_bytes, usual_workers
from overlays.scoring.kept_runs import CACHE_VARIABLE, usual_folder

__all__ = ["machine_findings"]

_PIXELS_2160 = 3840 * 2160
# The demonstration takes 2.5 GB as ProRes 4444; an episode needs that order.
_LITTLE_DISK, _LITTLE_MEMORY = 5_000_000_000, 2_000_000_000
_LETTERS = "Ω µ ü 漢"


def machine_findings(folder: Path) -> Iterator[MachineFinding]:
    """Look at the machine; nothing stays written.

    Parameters
    ----------
    folder : Path
        Where turnovers would go: its disk is looked at.
    """
    yield MachineFinding(
        "Python", "good", f"{platform.python_version()} on {platform.system()} {platform.machine()}"
    )
    yield _processors()
    yield _disk("disk of this folder", folder)
    yield _temporary()
    yield _kept_runs()
    yield _file_names()
    yield _output_letters()


def _processors() -> MachineFinding:
    memory = memory_bytes()
    workers = usual_workers(_PIXELS_2160)
    told = f"{os.cpu_count()} processors, {size_text(memory) if memory else 'unknown'} of memory"
    told = f"{told}; draws in {workers} at once at 3840x2160"
    if memory is not None and memory < _LITTLE_MEMORY:
        return MachineFinding(
            "processors and memory", "note", told, "Close other programs before a long episode."
        )
    return MachineFinding("processors and memory", "good", told)


def _disk(about: str, folder: Path) -> MachineFinding:
    try:
        free = shutil.disk_usage(folder).free
    except OSError as error:
        return MachineFinding(
            about, "note", f"cannot be looked at: {error.strerror or error}", "Use another folder."
        )
    if free < _LITTLE_DISK:
        return MachineFinding(
            about,
            "note",
            f"{size_text(free)} free, which an episode in ProRes 4444 may need alone",
            "Make room, or give --out a folder on another disk.",
        )
    return MachineFinding(about, "good", f"{size_text(free)} free")


def _temporary() -> MachineFinding:
    try:
        with tempfile.TemporaryDirectory(prefix="tracereel-") as folder:
            (Path(folder) / "probe").write_bytes(b"probe")
    except OSError as error:
        return MachineFinding(
            "temporary folder",
            "missing",
            f"cannot be written: {error.strerror or error}",
            "Set the environment variable TMPDIR to a folder that you may write to.",
        )
    return MachineFinding("temporary folder", "good", "can be written")


def _kept_runs() -> MachineFinding:
    about = "kept runs"
    folder = usual_folder()
    if folder is None:
        return MachineFinding(
            about, "note", f"none: {CACHE_VARIABLE} is empty, so every command reads every log"
        )
    # The nearest folder that is there tells whether the rest can be made.
    there = next((place for place in (folder, *folder.parents) if place.is_dir()), None)
    if there is None or not os.access(there, os.W_OK):
        return MachineFinding(
            about,
            "note",
            f"{str(folder)!r} cannot be written, so every command reads every log",
            f"Set the environment variable {CACHE_VARIABLE} to a folder that you may write to.",
        )
    return MachineFinding(about, "good", f"in {str(folder)!r}; it may be deleted at any time")


def _file_names() -> MachineFinding:
    encoding = sys.getfilesystemencoding()
    try:
        os.fsencode(_LETTERS)
    except UnicodeEncodeError:
        return MachineFinding(
            "letters in file names",
            "note",
            f"this system's {encoding} has no {_LETTERS}",
            "Keep to plain letters in file names, or use a UTF-8 locale.",
        )
    return MachineFinding("letters in file names", "good", encoding)


def _output_letters() -> MachineFinding:
    encoding = sys.stdout.encoding if sys.stdout is not None else None
    shown = encoding or locale.getpreferredencoding(do_setlocale=False)
    try:
        _LETTERS.encode(shown)
    except (UnicodeEncodeError, LookupError):
        return MachineFinding(
            "letters on this terminal",
            "note",
            f"{shown} has no {_LETTERS}; they are printed as codes",
            "Set PYTHONIOENCODING=utf-8, or read the files instead: they are UTF-8.",
        )
    return MachineFinding("letters on this terminal", "good", shown)
