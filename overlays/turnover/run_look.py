"""A look at every run of a session, to be checked before its figures are trusted."""

from __future__ import annotations

from pathlib import Path

from overlays.errors import InputError
from overlays.files import write_text_whole, written_whole
from overlays.model.result import Results
from overlays.progress import Progress, silent
from overlays.turnover.look.page import run_look_page
from overlays.turnover.look.sheet import write_run_look_sheet
from overlays.turnover.look.story import tell

__all__ = ["write_run_look"]


def write_run_look(results: Results, target: Path, *, progress: Progress = silent) -> None:
    """Write a look at every run, those left out and those that cannot be read among them.

    Parameters
    ----------
    results : Results
        Of the session. It may have been worked out with errors: what is missing is said in words.
    target : Path
        ``.html`` gives a page that holds its pictures and loads nothing, ``.png`` one tall
        picture. A file of that name is replaced, whole.
    progress : Progress
        Told after each run read and each picture drawn.

    Raises
    ------
    InputError
        If the name has another ending.
    RenderError
        If there are too many runs for a PNG.
    WorkError
        If the file cannot be written.
    """
    ending = target.suffix.lower()
    if ending not in {".html", ".png"}:
        raise InputError(
            f"{target.name!r} ends in {target.suffix or 'nothing'!r}; expected .html or .png.",
            code="unknown-ending",
            remedy="Name a file that ends in .html (a page) or .png (a picture).",
        )
    story = tell(results, progress=progress)
    if ending == ".html":
        write_text_whole(target, run_look_page(story, progress=progress))
        return
    with written_whole(target) as part:
        write_run_look_sheet(story, part, progress=progress)
