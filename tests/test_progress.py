"""Progress is drawn on a terminal and nowhere else."""

from __future__ import annotations

import sys

import pytest

from overlays.progress import silent, terminal_bar


def test_nothing_is_printed_where_there_is_no_terminal(capsys: pytest.CaptureFixture[str]) -> None:
    """Logs and pipes stay clean."""
    with terminal_bar() as progress:
        assert progress is silent
        progress(1, 2, "runs")
    captured = capsys.readouterr()
    assert captured.out == captured.err == ""


def test_a_terminal_gets_a_bar(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each kind of work has a bar of its own, and results' stream stays clean."""
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True, raising=False)
    with terminal_bar() as progress:
        for done in range(1, 4):
            progress(done, 3, "runs")
        progress(5, 10, "frames")
    captured = capsys.readouterr()
    assert captured.out == ""
    assert "runs" in captured.err


def test_what_is_told_is_no_markup(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Brackets in a name are brackets: rich would take them for colours and links."""
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True, raising=False)
    with terminal_bar() as progress:
        progress(3, 3, "[red]Alder[/red]")
    assert "[red]Alder[/red]" in capsys.readouterr().err
