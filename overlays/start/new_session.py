"""A folder of logs → a session that can be checked, previewed and put right."""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

from overlays.errors import Problems, WorkError
from overlays.files import written_whole
from overlays.progress import Progress, silent
from overlays.start.draft import drafted, outline_text, runs_text, session_text
from overlays.start.found import FoundRun, found_runs

__all__ = ["Begun", "new_session"]


@dataclass(frozen=True, slots=True)
class Begun:
    """A session that was begun: its folder, and the runs that it holds."""

    folder: Path
    runs: tuple[FoundRun, ...]


def new_session(
    folder: Path,
    logs: Path,
    problems: Problems,
    *,
    today: date | None = None,
    progress: Progress = silent,
) -> Begun:
    """Begin a session: logs copied, session.toml, runs.csv and an outline written.

    Parameters
    ----------
    folder : Path
        The session's folder; must not exist yet, or be empty.
    logs : Path
        The folder of logs; it is read and never changed.
    problems : Problems
        Receives what was left out or guessed.
    today : date, optional
        The episode's date.
    progress : Progress
        Told after each log.

    Raises
    ------
    WorkError
        If the folder holds something, or cannot be written.
    SessionError
        If there is no log.
    """
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise WorkError(
            f"{str(folder)!r} holds something already.",
            code="folder-in-use",
            field="folder",
            remedy="Name a folder that does not exist yet.",
        )
    runs = found_runs(logs, problems, progress=progress)
    draft = drafted(runs)
    title = folder.resolve().name.replace("_", " ")
    with written_whole(folder) as part:
        (part / "logs").mkdir(parents=True)
        for run in runs:
            shutil.copyfile(run.path, part / "logs" / run.path.name)
        texts = {
            "session.toml": session_text(
                draft, title, today=today or datetime.now().astimezone().date()
            ),
            "runs.csv": runs_text(draft),
            "outline.md": outline_text(draft, title),
        }
        for name, text in texts.items():
            (part / name).write_text(text, encoding="utf-8", newline="")
    for column in (column for column, unit in draft.units.items() if unit is None):
        problems.warn(
            "no-unit",
            f"no log gives a known unit for {column!r}; 1 stands in.",
            remedy=f"Write its unit into [channels.{draft.columns[column]}].",
            file="session.toml",
        )
    return Begun(folder, runs)
