"""A look at every run, as a file."""

from __future__ import annotations

from pathlib import Path

import pytest
from PIL import Image

from overlays.errors import InputError
from overlays.model.result import Results
from overlays.turnover.run_look import write_run_look
from tests.turnover.look.building import results_in, write_session


@pytest.fixture(scope="module")
def results(tmp_path_factory: pytest.TempPathFactory) -> Results:
    """Return the results of a session with a gap, a left-out run and two unreadable logs."""
    return results_in(write_session(tmp_path_factory.mktemp("runs") / "ropes"))


def test_a_page_is_written_whole(results: Results, tmp_path: Path) -> None:
    """In UTF-8, in a folder that is made, over what stood there, with nothing left beside it."""
    target = tmp_path / "new" / "Runs.HTML"
    target.parent.mkdir()
    target.write_text("old")
    write_run_look(results, target)
    text = target.read_text(encoding="utf-8")
    assert text.startswith("<!DOCTYPE html>")
    assert text.endswith("</html>\n")
    assert "held per price" in text
    assert list(target.parent.iterdir()) == [target]


def test_a_picture_is_written_whole(results: Results, tmp_path: Path) -> None:
    """A PNG that opens, taller than wide, with nothing left beside it."""
    told: list[tuple[int, int, str]] = []
    target = tmp_path / "runs.png"
    write_run_look(results, target, progress=lambda *call: told.append(call))
    with Image.open(target) as image:
        image.load()
        assert image.format == "PNG"
        assert image.height > image.width / 2
    assert list(tmp_path.iterdir()) == [target]
    assert {what for _, _, what in told} == {"runs", "rows"}


@pytest.mark.parametrize("name", ["runs.pdf", "runs", "runs.html.gz", ".png"])
def test_another_ending_is_refused_with_those_allowed(
    results: Results, tmp_path: Path, name: str
) -> None:
    """Before anything is read or written."""
    with pytest.raises(InputError, match=r"expected \.html or \.png") as caught:
        write_run_look(results, tmp_path / name)
    assert caught.value.code == "unknown-ending"
    assert list(tmp_path.iterdir()) == []


def test_logs_are_only_read(tmp_path: Path) -> None:
    """Every file of the session is as it was, to the byte."""
    folder = write_session(tmp_path / "ropes")
    before = {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    write_run_look(results_in(folder), tmp_path / "out" / "runs.html")
    assert before == {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}
