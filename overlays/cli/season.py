"""Commands on the season: standings, the ledger, and what a change touched."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from overlays.cli.shared import (
    FormatOption,
    ListFormat,
    SessionArgument,
    TableFormat,
    opened_episode,
    worked_out,
)
from overlays.errors import Problems
from overlays.numbers import counted
from overlays.saying import say, tell

__all__ = ["commands"]

commands = typer.Typer()


@commands.command()
def standings(  # noqa: PLR0917 (each is an option of its own)
    session: SessionArgument,
    form: FormatOption = TableFormat.table,
    season: Annotated[
        bool, typer.Option("--season", help="All entries of the season, not only this session's.")
    ] = False,
    as_of: Annotated[
        int | None,
        typer.Option("--as-of", metavar="EPISODE", help="As they were after that episode."),
    ] = None,
    explain: Annotated[
        str | None,
        typer.Option("--explain", metavar="ENTRY", help="How each of its points comes about."),
    ] = None,
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FILE", help="Write a spreadsheet (.xlsx).")
    ] = None,
) -> None:
    """Print the standings after this episode, or after an earlier one."""
    from overlays.scoring.explain import explain_text
    from overlays.scoring.results import season_ledger
    from overlays.scoring.review import standings_notes
    from overlays.scoring.standings import standings_as_of
    from overlays.scoring.tables import figures_table, standings_table, standings_text
    from overlays.scoring.workbook import write_workbook

    alone = season or as_of is not None or out is not None or form is not TableFormat.table
    if explain is not None and alone:
        raise typer.BadParameter(
            "points are explained as they are tonight, as text; leave the other options out.",
            param_hint="--explain",
        )
    if out is not None and form is not TableFormat.table:
        raise typer.BadParameter("a spreadsheet has no other format.", param_hint="--format")
    results = worked_out(session)
    problems = Problems()
    ledger = season_ledger(results.session, problems)
    if explain is not None:
        say(explain_text(results, ledger, explain), nl=False)
        return
    then = None
    if as_of is not None:
        file = results.session.spec.episode.ledger or ""
        then = standings_as_of(results.session, ledger, as_of, problems, ledger_file=file)
        problems.raise_errors()
        season = True
    if out is not None:
        table = standings_table(results, season=season, standings=then)
        write_workbook(out, {"standings": table, "figures": figures_table(results)})
        say(out)
        return
    say(standings_text(results, form.value, season=season, standings=then), nl=False)
    if form is TableFormat.table and then is None:
        for note in standings_notes(results, ledger):
            say(note)


@commands.command()
def record(
    session: SessionArgument,
    reason: Annotated[
        str, typer.Option(help="Why a result is recorded again; needed for a re-test.")
    ] = "",
    withdraw: Annotated[
        str | None,
        typer.Option(metavar="ENTRY", help="Take this entry's results back instead (an erratum)."),
    ] = None,
    figure: Annotated[
        list[str] | None,
        typer.Option("--figure", help="With --withdraw: only this figure; may be given again."),
    ] = None,
) -> None:
    """Add this episode's results to the season's ledger; history stays."""
    from overlays.scoring.record import record_results, withdraw_result

    if figure and withdraw is None:
        # Rows are never taken out again: recording everything is not what was asked for.
        raise typer.BadParameter("a figure belongs to --withdraw ENTRY.", param_hint="--figure")
    results = worked_out(session)
    if withdraw is None:
        added = record_results(results, reason=reason)
    else:
        added = withdraw_result(results.session, withdraw, figure or [], reason=reason)
    say(f"{counted(len(added), 'row')} added to {results.session.spec.episode.ledger}.")


@commands.command()
def touched(
    session: SessionArgument,
    since: Annotated[
        Path | None,
        typer.Option(metavar="DIR", help="A turnover made before; by default the season's ledger."),
    ] = None,
    form: Annotated[ListFormat, typer.Option("--format")] = ListFormat.table,
) -> None:
    """List what a re-test or an erratum changed: figures, sentences, cues, past episodes."""
    from overlays.turnover.touched import what_was_touched

    problems = Problems()
    read = opened_episode(session, problems)
    tell(problems.found)
    say(what_was_touched(read, since, form.value), nl=False)
