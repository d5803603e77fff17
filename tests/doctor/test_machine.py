"""What is found of the machine, as it is and as it might be."""

from __future__ import annotations

import os
import shutil
import sys
import tempfile
from io import TextIOWrapper
from pathlib import Path
from typing import NamedTuple

import pytest

import overlays.doctor.machine as module
from overlays.doctor.finding import MachineFinding
from overlays.doctor.machine import machine_findings
from overlays.scoring.kept_runs import CACHE_VARIABLE


class Usage(NamedTuple):
    """What `shutil.disk_usage` returns."""

    total: int
    used: int
    free: int


def found(folder: Path) -> dict[str, MachineFinding]:
    return {finding.about: finding for finding in machine_findings(folder)}


def test_this_machine_has_what_is_needed(tmp_path: Path) -> None:
    """A machine on which the tests run lacks nothing, and the folder stays empty."""
    assert "missing" not in {finding.state for finding in found(tmp_path).values()}
    assert not list(tmp_path.iterdir())


def test_a_small_disk_and_little_memory_are_noted(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Both say how much there is, and what to do."""
    monkeypatch.setattr(shutil, "disk_usage", lambda _: Usage(9, 8, 1_000_000_000))
    monkeypatch.setattr(module, "memory_bytes", lambda: 1_000_000_000)
    told = found(tmp_path)
    assert told["disk of this folder"].found.startswith("1.0 GB free")
    assert "1.0 GB of memory" in told["processors and memory"].found
    for about in ("disk of this folder", "processors and memory"):
        assert told[about].state == "note"
        assert told[about].remedy


def test_a_folder_that_is_gone_is_no_crash(tmp_path: Path) -> None:
    """The disk of a folder that is not there cannot be looked at, and this is said."""
    assert found(tmp_path / "gone")["disk of this folder"].found.startswith("cannot be looked at")


def test_a_temporary_folder_that_cannot_be_written_stops_work(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is the one thing here without which no clip can be made."""
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "gone"))
    finding = found(tmp_path)["temporary folder"]
    assert finding.state == "missing"
    assert "TMPDIR" in finding.remedy


@pytest.mark.parametrize(("named", "says"), [("", "is empty"), ("/proc/none", "cannot be written")])
def test_runs_that_cannot_be_kept_are_noted(
    named: str, says: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Everything works without kept runs, only more slowly: a note, not a fault."""
    monkeypatch.setenv(CACHE_VARIABLE, named)
    # Whoever runs as the administrator may write everywhere.
    monkeypatch.setattr(os, "access", lambda place, _: not str(place).startswith("/proc"))
    if named and not Path("/proc").is_dir():
        named = str(tmp_path)
    finding = found(tmp_path)["kept runs"]
    assert finding.state == "note"
    assert says in finding.found


def test_a_home_that_can_be_written_keeps_runs(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The folder is named, and that it may be deleted."""
    monkeypatch.setenv(CACHE_VARIABLE, str(tmp_path / "kept"))
    finding = found(tmp_path)["kept runs"]
    assert finding.state == "good"
    assert str(tmp_path / "kept") in finding.found


def test_a_terminal_without_the_letters_is_noted(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Units and names are printed as codes there; files are not affected."""
    with (tmp_path / "out").open("wb") as raw:
        monkeypatch.setattr(sys, "stdout", TextIOWrapper(raw, encoding="ascii"))
        finding = found(tmp_path)["letters on this terminal"]
    assert finding.state == "note"
    assert finding.found.startswith("ascii")
