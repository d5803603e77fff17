"""Commands that draw and write: clips, previews, the turnover, and its proof."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from overlays.cli.shared import (
    CodecOption,
    SessionArgument,
    TextOrJson,
    opened_episode,
    report,
)
from overlays.errors import Problems
from overlays.numbers import counted
from overlays.progress import terminal_bar
from overlays.saying import say, tell

__all__ = ["commands"]

commands = typer.Typer()


@commands.command()
def preview(
    session: SessionArgument,
    cue: Annotated[
        str | None, typer.Argument(metavar="CUE", help="The cue's id; all the episode without one.")
    ] = None,
    at: Annotated[
        str | None,
        typer.Option(
            metavar="TIME",
            help='One picture: so long into it ("2.5 s", "60 frames"), or at a timecode.',
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


@commands.command()
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
    episode = opened_episode(session, problems)
    tell(problems.found)
    planned = plan_cue(find_cue(episode.outline, cue), episode, codec=codec)
    with terminal_bar() as progress:
        render_clip(planned, out, codec=codec, progress=progress)
    say(out)


@commands.command()
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
    more = f" ({counted(cautions, 'caution')})" if cautions else ""
    say(f"{counted(len(made.rendered), 'clip')} in {out}; look at {out / 'review.html'}{more}.")
    if made.stopped:
        raise typer.Exit(1)


@commands.command()
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
    report(
        problems,
        form,
        good="Proved: the clip is what it claims to be."
        if count == 1
        else f"Proved: {count} clips are what they claim to be.",
    )


@commands.command()
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
    read = opened_episode(session, problems)
    tell(problems.found)
    text = write_script(read, out)
    say(text if out is None else out, nl=out is not None)


@commands.command()
def styles(
    session: Annotated[
        Path | None, typer.Argument(metavar="SESSION", help="Lists its own styles too.")
    ] = None,
) -> None:
    """List the house styles, and the overlay kinds with their options."""
    from overlays.turnover.catalogue import catalogue

    say(catalogue(session), nl=False)


@commands.command()
def gallery(
    out: Annotated[Path, typer.Option("--out", metavar="DIR", help="Where to.")],
) -> None:
    """Draw every overlay kind in every style and shape: first, middle and last state."""
    from overlays.turnover.gallery import draw_gallery

    with terminal_bar() as progress:
        count = draw_gallery(out, progress=progress)
    say(f"{counted(count, 'file')} in {out}.")
