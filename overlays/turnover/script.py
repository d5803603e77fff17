"""The script for reading aloud, as text or as a page."""

from __future__ import annotations

from pathlib import Path

from overlays.errors import TurnoverError
from overlays.files import write_text_whole
from overlays.outline.script_page import script_page, script_text
from overlays.plan import Episode

__all__ = ["write_script"]


def write_script(episode: Episode, target: Path | None) -> str:
    """Make the script, and write it where a file is named.

    Parameters
    ----------
    episode : Episode
        With the outline's numbers filled in.
    target : Path, optional
        Ends in ``.txt`` or ``.html``; the ending decides.

    Returns
    -------
    str
        The script.

    Raises
    ------
    TurnoverError
        If the file has another ending.
    WorkError
        If it cannot be written.
    """
    spec = episode.results.session.spec.episode
    if target is None or target.suffix.lower() == ".txt":
        text = script_text(episode.outline)
    elif target.suffix.lower() == ".html":
        text = script_page(episode.outline, title=spec.title, cautions=spec.cautions)
    else:
        raise TurnoverError(
            f"a script ends in .txt or .html, found {target.name!r}.",
            code="unknown-script",
            field="out",
            remedy="Name the file .txt or .html.",
        )
    if target is not None:
        write_text_whole(target, text)
    return text
