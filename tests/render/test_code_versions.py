"""What draws, as a digest and a list of versions."""

from __future__ import annotations

import shutil
from importlib.metadata import version
from pathlib import Path

import pytest

from overlays import versions as module
from overlays.render.code_versions import code_digest, library_versions
from tests.render.planning import edit


@pytest.fixture
def copied(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Let the digest look at a copy of the package."""
    package = tmp_path / "overlays"
    shutil.copytree(module._PACKAGE, package, ignore=shutil.ignore_patterns("__pycache__"))
    monkeypatch.setattr(module, "_PACKAGE", package)
    return package


def _digest() -> str:
    for cached in (code_digest, module.source_digest):
        cached.cache_clear()
    found = code_digest()
    for cached in (code_digest, module.source_digest):
        cached.cache_clear()
    return found


def test_a_copy_elsewhere_has_the_same_digest(copied: Path) -> None:
    """Where the package lies does not count."""
    first = _digest()
    shutil.move(copied, copied.with_name("moved"))
    module._PACKAGE = copied.with_name("moved")
    assert _digest() == first


@pytest.mark.parametrize(
    "file",
    ["draw/canvas.py", "kinds/curves.py", "style/house.py", "render/colour.py", "numbers.py"],
)
def test_code_that_draws_counts(copied: Path, file: str) -> None:
    """Any edit to it is another digest."""
    before = _digest()
    edit(copied / file, "from __future__", "# Edited.\nfrom __future__")
    assert _digest() != before


@pytest.mark.parametrize("file", ["outline/reader.py", "logs/reader.py", "scoring/results.py"])
def test_code_whose_result_is_in_the_content_does_not_count(copied: Path, file: str) -> None:
    """What was read and worked out is compared by value."""
    before = _digest()
    edit(copied / file, "from __future__", "# Edited.\nfrom __future__")
    assert _digest() == before


def test_libraries_that_draw_are_listed() -> None:
    """Their installed versions are named."""
    assert f"matplotlib={version('matplotlib')}" in library_versions().split()
