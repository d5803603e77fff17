"""Progress of long work: what is told, and a bar on the terminal.

Work tells a `Progress`; who started the work decides what becomes of it. Nothing is printed unless
standard error is a terminal.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Protocol

__all__ = ["Progress", "silent", "terminal_bar"]


class Progress(Protocol):
    """Told how far work has come."""

    def __call__(self, done: int, total: int, what: str) -> None:
        """Receive that `done` of `total` steps of `what` are done; `what` names the unit too."""
        ...


def silent(done: int, total: int, what: str) -> None:
    """Tell nobody."""
    del done, total, what


@contextmanager
def terminal_bar() -> Iterator[Progress]:
    """Give a `Progress` that draws a bar with rate and time left, where there is a terminal."""
    if not sys.stderr.isatty():
        yield silent
        return
    # rich takes a tenth of a second to import, so only somebody who watches pays for it.
    from rich import progress as bars
    from rich.console import Console

    columns = (
        bars.TextColumn("{task.description}", markup=False),
        bars.BarColumn(),
        bars.MofNCompleteColumn(),
        bars.TextColumn("{task.fields[pace]}", markup=False),
        bars.TimeRemainingColumn(),
    )
    with bars.Progress(*columns, console=Console(stderr=True), transient=True) as shown:
        tasks: dict[str, bars.TaskID] = {}

        def tell(done: int, total: int, what: str) -> None:
            if what not in tasks:
                tasks[what] = shown.add_task(what, total=total, pace="")
            task = shown.tasks[shown.task_ids.index(tasks[what])]
            pace = f"{task.speed:.0f}/s" if task.speed else ""
            shown.update(tasks[what], completed=done, total=total, pace=pace)

        yield tell
