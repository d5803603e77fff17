"""The command line: arguments and exit codes only.

Exit code 0: done. 1: the session has errors, or the work failed. 2: wrong usage. 130: interrupted.
"""

from __future__ import annotations

import sys

import typer

from overlays.cli import footage, making, runs, season
from overlays.errors import TracereelError
from overlays.saying import last_resort, say, tell

__all__ = ["app", "main"]

_INTERRUPTED = 130  # what a shell calls a program that was stopped by its user

app = typer.Typer(
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    help="Turn test-bench runs and scores into transparent overlays cut to a script.",
)
for part in (runs, making, footage, season):
    app.add_typer(part.commands)


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
