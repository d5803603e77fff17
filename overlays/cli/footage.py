"""Commands on camera files."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from overlays.cli.shared import SessionArgument, TextOrJson, worked_out
from overlays.errors import UnitError
from overlays.progress import terminal_bar
from overlays.saying import json_text, say, tell
from overlays.units import Quantity

__all__ = ["commands"]

commands = typer.Typer()


class By(StrEnum):
    """What a run is found by."""

    sound = "sound"
    flash = "flash"
    clap = "clap"


@commands.command()
def sync(
    session: SessionArgument,
    run: Annotated[
        str, typer.Argument(metavar="RUN", help='Entry, test and repeat, "alder cold 2"; or a log.')
    ],
    footage: Annotated[Path, typer.Argument(metavar="FOOTAGE", help="The camera file.")],
    *,
    by: Annotated[By, typer.Option(help="What to look for.")] = By.sound,
    at: Annotated[
        str | None,
        typer.Option(metavar="TIME", help='When a flash or clap came, such as "-1.5 s"; 0 s.'),
    ] = None,
    form: Annotated[TextOrJson, typer.Option("--format")] = TextOrJson.text,
) -> None:
    """Find where a run lies in a camera file; nothing is written. Leaves with 1 where unsure."""
    from overlays.footage.placing import place_run
    from overlays.footage.report import doubt, placed_document, placed_text

    at_s = _run_time_s(at, by)
    results = worked_out(session)
    with terminal_bar() as progress:
        placed = place_run(results, run, footage, by=by.value, at_s=at_s, progress=progress)
    if form is TextOrJson.json:
        say(json_text(placed_document(placed, session)))
    else:
        say(placed_text(placed, session), nl=False)
    if not placed.found.sure:
        tell(doubt(placed).problems())
        raise typer.Exit(1)


def _run_time_s(at: str | None, by: By) -> float:
    if at is None:
        return 0.0
    if by is By.sound:
        raise typer.BadParameter("a time belongs to a flash or a clap.", param_hint="--at")
    try:
        return Quantity.parse(at).to("s")
    except UnitError as error:
        raise typer.BadParameter(f"{error.message} {error.remedy}", param_hint="--at") from error
