"""Commands on camera files."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from overlays.cli.shared import SessionArgument, TextOrJson, worked_out
from overlays.progress import terminal_bar
from overlays.saying import json_text, say, tell

__all__ = ["commands"]

commands = typer.Typer()


@commands.command()
def sync(
    session: SessionArgument,
    run: Annotated[
        str, typer.Argument(metavar="RUN", help='Entry, test and repeat, "alder cold 2"; or a log.')
    ],
    footage: Annotated[Path, typer.Argument(metavar="FOOTAGE", help="The camera file.")],
    form: Annotated[TextOrJson, typer.Option("--format")] = TextOrJson.text,
) -> None:
    """Find where a run lies in a camera file; nothing is written. Leaves with 1 where unsure."""
    from overlays.footage.placing import place_run
    from overlays.footage.report import doubt, placed_document, placed_text

    results = worked_out(session)
    with terminal_bar() as progress:
        placed = place_run(results, run, footage, progress=progress)
    if form is TextOrJson.json:
        say(json_text(placed_document(placed, session)))
    else:
        say(placed_text(placed, session), nl=False)
    if not placed.found.sure:
        tell(doubt(placed).problems())
        raise typer.Exit(1)
