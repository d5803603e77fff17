"""The command line: arguments and exit codes only.

Exit code 0: done. 1: the session has errors, or the work failed. 2: wrong usage. 130: interrupted.
"""

from __future__ import annotations

import sys
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from overlays.errors import Problem, Problems, TracereelError
from overlays.progress import terminal_bar
from overlays.saying import json_text, last_resort, say, tell

if TYPE_CHECKING:
    from overlays.model.clip import Clip
    from overlays.model.result import Results
    from overlays.model.session import Session
    from overlays.plan import Episode

__all__ = ["app", "main"]

_INTERRUPTED = 130  # what a shell calls a program that was stopped by its user

app = typer.Typer(
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    help="Turn test-bench runs and scores into transparent overlays cut to a script.",
)


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


def main() -> None:
    """Run the command line and leave with its exit code."""
    try:
        with last_resort():
            app()
    except TracereelError as error:
        tell(error.problems())
        sys.exit(1)
    except SystemExit as leaving:
        if leaving.code == _INTERRUPTED:
            say("Interrupted; what was finished is kept.", err=True)
        raise
    except BrokenPipeError:
        # Whoever read our output has gone, as `head` does; there is nobody left to tell.
        sys.stderr.close()
        sys.exit(1)


def _report(problems: Problems, form: TextOrJson, *, good: str) -> None:
    """Print problems as `check` does and leave with 1 if one is an error."""
    if form is TextOrJson.json:
        say(json_text({"problems": [_as_dict(problem) for problem in problems.found]}))
    else:
        tell(problems.found, err=False)
        errors = len(problems.errors)
        warnings = len(problems.found) - errors
        counts = f"{_count(errors, 'error')}, {_count(warnings, 'warning')}."
        say(counts if errors else good)
    if problems.errors:
        raise typer.Exit(1)


def _count(number: int, word: str) -> str:
    return f"{number} {word}" if number == 1 else f"{number} {word}s"


def _as_dict(problem: Problem) -> dict[str, Any]:
    return {
        "level": problem.level,
        "code": problem.code,
        "file": problem.file,
        "line": problem.line,
        "message": problem.message,
        "remedy": problem.remedy,
    }


@app.command()
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
            problems.found += [item.problem() for item in judge_plan(episode.results, clips)]
    if episode is not None and form is TextOrJson.text:
        for line in reading_lines(episode.results):
            say(f"read: {line}")
    _report(problems, form, good=f"Ready to render: {len(clips)} clips.")


def _session(session: Path) -> Session:
    """Read a session; errors leave with 1."""
    from overlays.session.reader import read_session

    problems = Problems()
    read = read_session(session, problems)
    problems.raise_errors()
    tell(problems.found)
    assert read is not None  # noqa: S101 (raise_errors left otherwise)
    return read


def _results(session: Path) -> Results:
    """Read a session and work out its results; errors leave with 1."""
    from overlays.scoring.results import work_out

    problems = Problems()
    read = _session(session)
    with terminal_bar() as progress:
        results = work_out(read, problems, progress)
    problems.raise_errors()
    tell(problems.found)
    return results


@app.command()
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

    results = _results(session)
    if gap is None:
        say(figures_text(results, form.value), nl=False)
    else:
        say(gap_text(results, *gap, how=form.value), nl=False)


@app.command()
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

    results = _results(session)
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


@app.command()
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

    results = _results(session)
    if withdraw is None:
        added = record_results(results, reason=reason)
    else:
        added = withdraw_result(results.session, withdraw, figure or [], reason=reason)
    say(f"{len(added)} rows added to {results.session.spec.episode.ledger}.")


def _episode(session: Path, problems: Problems) -> Episode:
    from overlays.plan import open_episode

    with terminal_bar() as progress:
        episode = open_episode(session, problems, progress=progress)
    problems.raise_errors()
    assert episode is not None  # noqa: S101 (raise_errors left otherwise)
    return episode


@app.command()
def clip(
    session: SessionArgument,
    cue: Annotated[str, typer.Argument(metavar="CUE", help="The cue's id.")],
    out: Annotated[Path, typer.Option("--out", help="The file to write.")],
    codec: CodecOption = "prores4444",
) -> None:
    """Render one clip."""
    from overlays.plan import find_cue, plan_cue
    from overlays.render.clips import render_clip
    from overlays.render.codecs.registry import refuse_codec

    refuse_codec(codec)
    problems = Problems()
    episode = _episode(session, problems)
    tell(problems.found)
    planned = plan_cue(find_cue(episode.outline, cue), episode, codec=codec)
    with terminal_bar() as progress:
        render_clip(planned, out, codec=codec, progress=progress)
    say(out)


@app.command()
def episode(
    session: SessionArgument,
    out: Annotated[Path, typer.Option("--out", metavar="DIR", help="The turnover's folder.")],
    codec: CodecOption = "prores4444",
    workers: Annotated[
        int | None, typer.Option(min=1, help="Processes to draw in; as many as there are cores.")
    ] = None,
    cluster: Annotated[
        str | None, typer.Option(metavar="ADDRESS", help="A dask scheduler that draws instead.")
    ] = None,
) -> None:
    """Render every clip, check what was written, and write the rest of the turnover."""
    from overlays.turnover.episode import make_episode

    with terminal_bar() as progress:
        made = make_episode(
            session, out, codec=codec, workers=workers, cluster=cluster, progress=progress
        )
    tell(made.problems.found)
    for clip_made in made.rendered:
        say(clip_made)
    tell([item.problem() for item in made.findings if item.verdict == "fail"])
    cautions = sum(item.verdict == "caution" for item in made.findings)
    more = f" ({cautions} cautions)" if cautions else ""
    say(f"{len(made.rendered)} clips in {out}; look at {out / 'review.html'}{more}.")
    if made.stopped:
        raise typer.Exit(1)


@app.command()
def verify(
    folder: Annotated[Path, typer.Argument(metavar="DIR", help="The turnover's folder.")],
    form: Annotated[TextOrJson, typer.Option("--format")] = TextOrJson.text,
) -> None:
    """Prove a turnover: what is on disk against what it claims."""
    from overlays.turnover.verify import verify as prove

    problems = Problems()
    with terminal_bar() as progress:
        manifest = prove(folder, problems, progress=progress)
    count = len(manifest.clips) if manifest else 0
    _report(problems, form, good=f"Proved: {count} clips are what they claim to be.")


@app.command()
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


@app.command()
def preview(
    session: SessionArgument,
    cue: Annotated[
        str | None, typer.Argument(metavar="[CUE]", help="The cue's id; the first one by default.")
    ] = None,
    at: Annotated[
        str | None,
        typer.Option(
            metavar="TIME", help='One picture, so long into the cue: "2.5 s", "60 frames".'
        ),
    ] = None,
    out: Annotated[
        Path | None,
        typer.Option("--out", metavar="FILE", help=".png with --at, else .mp4 or .gif."),
    ] = None,
    backdrop: Annotated[
        str | None,
        typer.Option(help="checkerboard, black, white, green or busy, instead of the footage."),
    ] = None,
) -> None:
    """Take a quick look at one overlay: a picture with --at, else a half-size film."""
    from overlays.turnover.quick_look import quick_look

    with terminal_bar() as progress:
        target = quick_look(session, cue, at=at, out=out, backdrop=backdrop, progress=progress)
    say(target)


@app.command()
def runs(
    session: SessionArgument,
    out: Annotated[Path, typer.Option("--out", metavar="FILE", help="A .html or .png file.")],
) -> None:
    """Draw every run, to be looked at before its figures are trusted."""
    from overlays.scoring.results import work_out
    from overlays.turnover.run_look import write_run_look

    # The look is needed most when a log is broken: it is drawn first, and errors are told after.
    problems = Problems()
    read = _session(session)
    with terminal_bar() as progress:
        results = work_out(read, problems, progress)
        write_run_look(results, out, progress=progress)
    say(out)
    tell(problems.found)
    if problems.errors:
        raise typer.Exit(1)


@app.command()
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

    sheet = run_sheet(_session(session), seed=seed, whole=whole)
    write = {"text": run_sheet_text, "csv": run_sheet_csv, "html": run_sheet_html}[form.value]
    say(write(sheet), nl=False)


@app.command()
def script(
    session: SessionArgument,
    out: Annotated[
        Path | None,
        typer.Option("--out", metavar="FILE", help="A .txt file, or an .html page to print."),
    ] = None,
) -> None:
    """Print the script for reading aloud, with every number filled in from the data."""
    from overlays.turnover.script import write_script

    problems = Problems()
    read = _episode(session, problems)
    tell(problems.found)
    text = write_script(read, out)
    say(text if out is None else out, nl=out is not None)


@app.command()
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
    read = _episode(session, problems)
    tell(problems.found)
    say(what_was_touched(read, since, form.value), nl=False)
