"""Commands that read a session and its logs: what is there, and whether to trust it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from overlays.cli.shared import (
    FormatOption,
    SessionArgument,
    SheetFormat,
    TableFormat,
    TextOrJson,
    opened_session,
    report,
    worked_out,
)
from overlays.errors import Problems
from overlays.numbers import counted
from overlays.progress import terminal_bar
from overlays.saying import json_text, say, tell

if TYPE_CHECKING:
    from overlays.model.clip import Clip

__all__ = ["commands"]

commands = typer.Typer()


@commands.command()
def check(
    session: SessionArgument,
    form: Annotated[TextOrJson, typer.Option("--format")] = TextOrJson.text,
) -> None:
    """Read everything, render nothing, report every problem in one pass, and how logs were read."""
    from overlays.checks.judge_plan import judge_plan
    from overlays.plan import open_episode, plan_episode, review_episode
    from overlays.scoring.reading_notes import reading_lines

    problems = Problems()
    clips: tuple[Clip, ...] = ()
    with terminal_bar() as progress:
        episode = open_episode(session, problems, progress=progress)
        if episode is not None:
            clips = plan_episode(episode, problems, codec="prores4444")
            review_episode(episode, problems)
            findings = judge_plan(episode.results, clips, progress=progress)
            problems.found += [item.problem() for item in findings]
    if episode is not None and form is TextOrJson.text:
        for line in reading_lines(episode.results):
            say(f"read: {line}")
    report(problems, form, good=f"Ready to render: {counted(len(clips), 'clip')}.")


@commands.command()
def figures(
    session: SessionArgument,
    form: FormatOption = TableFormat.table,
    gap: Annotated[
        tuple[str, str, str] | None,
        typer.Option(
            metavar="FIGURE ENTRY ENTRY",
            help="Instead: whether the gap between two entries is real, in a sentence to say.",
        ),
    ] = None,
) -> None:
    """Print every figure: value, unit, repeats, spread; or judge the gap between two entries."""
    from overlays.scoring.gap_text import gap_text
    from overlays.scoring.tables import figures_text

    results = worked_out(session)
    if gap is None:
        say(figures_text(results, form.value), nl=False)
    else:
        say(gap_text(results, *gap, how=form.value), nl=False)


@commands.command()
def log(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A logger's file.")],
    samples: Annotated[bool, typer.Option("--samples", help="Print every sample too.")] = False,
    form: Annotated[TextOrJson, typer.Option("--format")] = TextOrJson.text,
) -> None:
    """Tell what the reader makes of one log file."""
    from overlays.logs.reader import read_log
    from overlays.logs.report import log_report
    from overlays.logs.report_text import log_text

    read = read_log(file, file=str(file))
    if form is TextOrJson.json:
        say(json_text(log_report(read, samples=samples)))
    else:
        say(log_text(read, samples=samples))


@commands.command()
def runs(
    session: SessionArgument,
    out: Annotated[Path, typer.Option("--out", metavar="FILE", help="A .html or .png file.")],
) -> None:
    """Draw every run, to be looked at before its figures are trusted."""
    from overlays.scoring.results import work_out
    from overlays.turnover.run_look import write_run_look

    # The look is needed most when a log is broken: it is drawn first, and errors are told after.
    problems = Problems()
    read = opened_session(session)
    with terminal_bar() as progress:
        results = work_out(read, problems, progress)
        write_run_look(results, out, progress=progress)
    say(out)
    tell(problems.found)
    if problems.errors:
        raise typer.Exit(1)


@commands.command()
def runsheet(
    session: SessionArgument,
    form: Annotated[SheetFormat, typer.Option("--format")] = SheetFormat.text,
    seed: Annotated[
        int | None, typer.Option(help="Shuffles the blocks; by default made from the episode.")
    ] = None,
    whole: Annotated[
        bool, typer.Option("--whole", help="List the whole plan, runs that are done included.")
    ] = False,
) -> None:
    """List what is still to be run, shuffled in blocks so that no entry is favoured."""
    from overlays.scoring.run_sheet import run_sheet
    from overlays.turnover.run_sheet import run_sheet_csv, run_sheet_html, run_sheet_text

    sheet = run_sheet(opened_session(session), seed=seed, whole=whole)
    write = {"text": run_sheet_text, "csv": run_sheet_csv, "html": run_sheet_html}[form.value]
    say(write(sheet), nl=False)


@commands.command()
def doctor(form: Annotated[TextOrJson, typer.Option("--format")] = TextOrJson.text) -> None:
    """Say what works on this machine - codecs, fonts, memory, disk - and what to do if not."""
    from overlays.doctor.finding import as_document, as_text
    from overlays.doctor.machine import machine_findings
    from overlays.doctor.parts import part_findings

    found = [*machine_findings(Path()), *part_findings()]
    if form is TextOrJson.json:
        say(json_text(as_document(found)))
    else:
        say(as_text(found), nl=False)
    if any(finding.state == "missing" for finding in found):
        raise typer.Exit(1)


@commands.command()
def new(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="The new session's folder.")],
    logs: Annotated[Path, typer.Option("--from", metavar="LOGS", help="The logger's files.")],
) -> None:
    """Begin a session from a folder of logs; what had to be guessed is marked."""
    from overlays.start.new_session import new_session

    problems = Problems()
    with terminal_bar() as progress:
        begun = new_session(folder, logs, problems, progress=progress)
    tell(problems.found)
    made = counted(len(begun.runs), "run")
    say(f"{made} in {begun.folder}; put right what runs.csv and session.toml guess.")
