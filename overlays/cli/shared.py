"""The arguments that commands share, and what they all do with a session."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from overlays.errors import Problem, Problems
from overlays.numbers import counted
from overlays.progress import terminal_bar
from overlays.saying import json_text, say, tell

if TYPE_CHECKING:
    from overlays.model.result import Results
    from overlays.model.session import Session
    from overlays.plan import Episode

__all__ = [
    "CodecOption",
    "FormatOption",
    "ListFormat",
    "SessionArgument",
    "SheetFormat",
    "TableFormat",
    "TextOrJson",
    "opened_episode",
    "opened_session",
    "report",
    "worked_out",
]


class TextOrJson(StrEnum):
    """How problems are printed."""

    text = "text"
    json = "json"


class TableFormat(StrEnum):
    """How tables are printed."""

    table = "table"
    csv = "csv"
    json = "json"
    md = "md"


class ListFormat(StrEnum):
    """How lists are printed."""

    table = "table"
    csv = "csv"
    md = "md"


class SheetFormat(StrEnum):
    """How the run sheet is printed."""

    text = "text"
    csv = "csv"
    html = "html"


SessionArgument = Annotated[Path, typer.Argument(metavar="SESSION", help="The session's folder.")]
FormatOption = Annotated[TableFormat, typer.Option("--format", help="How to print the table.")]
CodecOption = Annotated[
    str, typer.Option("--codec", help="prores4444, vp9, qtrle, png or ffv1; all carry alpha.")
]


def report(problems: Problems, form: TextOrJson, *, good: str) -> None:
    """Print problems as `check` does and leave with 1 if one is an error."""
    if form is TextOrJson.json:
        say(json_text({"problems": [_as_dict(problem) for problem in problems.found]}))
    else:
        tell(problems.found, err=False)
        errors = len(problems.errors)
        warnings = len(problems.found) - errors
        counts = f"{counted(errors, 'error')}, {counted(warnings, 'warning')}."
        say(counts if errors else good)
    if problems.errors:
        raise typer.Exit(1)


def _as_dict(problem: Problem) -> dict[str, Any]:
    return {
        "level": problem.level,
        "code": problem.code,
        "file": problem.file,
        "line": problem.line,
        "message": problem.message,
        "remedy": problem.remedy,
    }


def opened_session(session: Path) -> Session:
    """Read a session; errors leave with 1."""
    from overlays.session.reader import read_session

    problems = Problems()
    read = read_session(session, problems)
    problems.raise_errors()
    tell(problems.found)
    assert read is not None  # noqa: S101 (raise_errors left otherwise)
    return read


def worked_out(session: Path) -> Results:
    """Read a session and work out its results; errors leave with 1."""
    from overlays.scoring.results import work_out

    problems = Problems()
    read = opened_session(session)
    with terminal_bar() as progress:
        results = work_out(read, problems, progress)
    problems.raise_errors()
    tell(problems.found)
    return results


def opened_episode(session: Path, problems: Problems) -> Episode:
    """Read a session, its results and its outline; errors leave with 1."""
    from overlays.plan import open_episode

    with terminal_bar() as progress:
        episode = open_episode(session, problems, progress=progress)
    problems.raise_errors()
    assert episode is not None  # noqa: S101 (raise_errors left otherwise)
    return episode
