"""A session's folder → `Session`."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from overlays.errors import Problems, ProblemsFound, SessionError
from overlays.model.session import Session, SessionSpec
from overlays.session.cross import check_tables
from overlays.session.footage import check_footage
from overlays.session.paths import inside, ledger_path, rules_path
from overlays.session.runs import find_runs
from overlays.session.stored import stored_bytes
from overlays.session.toml_lines import key_lines
from overlays.session.toml_text import TomlRefusedError, toml_text
from overlays.session.validation import problems_of

__all__ = ["SESSION_FILE", "read_session"]

SESSION_FILE = "session.toml"
_LARGEST = 1_000_000
# The tables a season may keep in one file for all its episodes.
_RULES = ("points", "standings")


def read_session(folder: Path, problems: Problems) -> Session | None:
    """Read and check a session's folder; its logs are found but not opened.

    Parameters
    ----------
    folder : Path
        The session's folder.
    problems : Problems
        Receives everything that is wrong, in one pass.

    Returns
    -------
    Session or None
        None where session.toml has an error; a log that is missing, or a wrong line of runs.csv,
        only takes its run away.
    """
    spec = None
    lines: dict[str, int] = {}
    files: dict[str, str] = {}
    with problems.collecting(file=SESSION_FILE):
        text = _text(folder)
        document = _document(text)
        lines = key_lines(text)
        with problems.collecting(file=SESSION_FILE, line=lines.get("episode.rules")):
            _add_rules(folder, document, lines, files)
        spec = _spec(document, lines, files)
    if spec is None:
        return None
    before = len(problems.errors)
    check_tables(spec, lines, problems, files=files)
    if spec.episode.ledger is not None:
        field = "episode.ledger"
        with problems.collecting(file=SESSION_FILE, line=lines.get(field), field=field):
            ledger_path(folder, spec.episode.ledger)
    _check_pictures(folder, spec, lines, problems)
    sound = len(problems.errors) == before
    runs = find_runs(folder, spec, lines, problems)
    check_footage(folder, spec, runs, lines, problems)
    if not sound:
        # What hangs on a wrong table would be told as wrong too, once for every log and cue.
        return None
    return Session(folder=folder, spec=spec, runs=runs, lines=lines, files=files)


def _check_pictures(
    folder: Path, spec: SessionSpec, lines: dict[str, int], problems: Problems
) -> None:
    """Check where pictures lie; they are read by whoever shows them."""
    pictures = {f"entries.{key}.picture": entry.picture for key, entry in spec.entries.items()}
    for field, written in {"episode.logo": spec.episode.logo, **pictures}.items():
        if written is not None:
            with problems.collecting(file=SESSION_FILE, line=lines.get(field), field=field):
                inside(folder, written)


def _text(folder: Path) -> str:
    path = inside(folder, SESSION_FILE)
    try:
        return stored_bytes(path, largest=_LARGEST).decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise SessionError(
            "the file is not UTF-8 text.", code="not-utf-8", remedy="Save it as UTF-8."
        ) from error
    except OSError as error:
        raise SessionError(
            f"there is no readable {SESSION_FILE} in {folder.name or str(folder)!r}.",
            code="no-session",
            remedy="Name a session's folder; the demo session is one to copy from.",
        ) from error


def _add_rules(
    folder: Path, document: dict[str, Any], lines: dict[str, int], files: dict[str, str]
) -> None:
    """Take the tables of the season's rules into the document, with the places they stand at."""
    episode = document.get("episode")
    written = episode.get("rules") if isinstance(episode, dict) else None
    if not isinstance(written, str):
        return
    path = rules_path(folder, written)
    try:
        text = stored_bytes(path, largest=_LARGEST).decode("utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise SessionError(
            f"the season's rules {written!r} are not there, or are not UTF-8 text.",
            code="missing-rules",
            field="episode.rules",
            remedy="Put the file there, or correct its name.",
        ) from error
    try:
        rules = _document(text)
    except SessionError as error:
        raise error.at(file=written) from error
    own_lines = key_lines(text)
    for table, content in rules.items():
        if table not in _RULES or table in document:
            both = table in _RULES
            raise SessionError(
                f"[{table}] stands in session.toml too; expected in one place only."
                if both
                else f"[{table}] does not belong into a season's rules.",
                code="table-twice" if both else "unknown-table",
                file=written,
                line=own_lines.get(table) or _first_line(own_lines, table),
                remedy="Take it out of one of them."
                if both
                else f"They hold: {', '.join(_RULES)}.",
            )
        document[table] = content
        files[table] = written
    lines.update(own_lines)


def _first_line(lines: dict[str, int], table: str) -> int | None:
    return min((line for key, line in lines.items() if key.startswith(f"{table}.")), default=None)


def _document(text: str) -> dict[str, Any]:
    try:
        return toml_text(text)
    except tomllib.TOMLDecodeError as error:
        place = re.search(r"\(at line (\d+), column (\d+)\)", str(error))
        said = str(error).partition(" (at ")[0]
        raise SessionError(
            f"this is not TOML: {said[:1].lower()}{said[1:]}"
            + (f" (column {place[2]})." if place else "."),
            code="not-toml",
            line=int(place[1]) if place else text.count("\n") + 1,
            remedy="Check quotation marks and brackets; text and quantities stand in quotation "
            "marks.",
        ) from error
    except TomlRefusedError as error:
        raise SessionError(
            f"{error}.",
            code="not-toml",
            line=error.line,
            remedy="Simplify it: a session needs no more than that.",
        ) from error


def _spec(document: dict[str, Any], lines: dict[str, int], files: dict[str, str]) -> SessionSpec:
    try:
        return SessionSpec.model_validate(document)
    except ValidationError as error:
        found = problems_of(error, SessionSpec, file=SESSION_FILE, lines=lines, files=files)
        raise ProblemsFound(found) from error
