"""Jobs submitted to an executor, and what became of them: parts drawn, clips checked."""

from __future__ import annotations

import gc
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Executor, Future, wait
from dataclasses import dataclass
from pathlib import Path
from typing import Generic, Protocol, TypeVar

from overlays.errors import RenderError, TracereelError
from overlays.model.clip import Clip

__all__ = ["Drawn", "Job", "Outcome", "Work", "WorkerDiedError", "completed", "do"]

_LOOK_EVERY_S = 0.2

Drawn = Callable[[int], None]
"""Told, every few frames, how many more are drawn."""


class Job(Protocol):
    """Something to be done with a clip, in any process; travels there by pickling."""

    @property
    def clip(self) -> Clip:
        """The clip."""
        ...

    @property
    def target(self) -> Path:
        """Where it writes; nobody else does."""
        ...

    @property
    def frames(self) -> int:
        """How many frames it takes."""
        ...


J = TypeVar("J", bound=Job)
Work = Callable[[J, Drawn], str]
"""Does a job, and returns the SHA-256 of what it wrote."""


def do(work: Work[J], job: J, drawn: Drawn) -> str:
    """Do a job and let go of all that it held; returns and raises what the work does.

    A clip's layout is large and holds itself in circles, and the collector, which counts objects
    and not bytes, would let the layouts of several clips pile up.

    Raises
    ------
    RenderError
        If memory runs out, wherever that is: the clip is told, and others go on.
    """
    try:
        return work(job, drawn)
    except MemoryError as error:
        raise RenderError(
            f"memory ran out at work on clip {job.clip.cue!r}.",
            code="out-of-memory",
            remedy="Use fewer workers, close other programs, or choose a smaller canvas.",
        ) from error
    finally:
        gc.collect()


@dataclass(frozen=True, slots=True, eq=False)
class Outcome(Generic[J]):
    """A job that is finished, with its file's SHA-256, or why it is not."""

    part: J
    error: TracereelError | OSError | None
    sha256: str = ""


class WorkerDiedError(RenderError):
    """The process doing a job went away."""

    @classmethod
    def drawing(cls, part: Job) -> WorkerDiedError:
        """Return the error that says so."""
        return cls(
            f"the process at work on clip {part.clip.cue!r} was killed, and again when it was "
            "tried once more.",
            code="worker-died",
            remedy="Memory may have run out: use fewer workers, close other programs, or choose "
            "a smaller canvas.",
        )


def completed(
    pool: Executor,
    task: Callable[[J], str],
    parts: Sequence[J],
    *,
    death: type[Exception],
    tell: Callable[[], None],
) -> Iterator[Outcome[J]]:
    """Submit jobs, and yield each as soon as it is finished.

    Parameters
    ----------
    pool : Executor
        Where to.
    task : callable
        Does one, returns the SHA-256 of what it wrote.
    parts : sequence of Job
        In the order in which they should be begun.
    death : type of exception
        What `pool` raises when a worker went away; becomes `WorkerDiedError`.
    tell : callable
        Called a few times a second.
    """
    waiting: dict[Future[str], J] = {pool.submit(task, part): part for part in parts}
    while waiting:
        done, _ = wait(waiting, timeout=_LOOK_EVERY_S, return_when=FIRST_COMPLETED)
        tell()
        for future in done:
            part = waiting.pop(future)
            error: TracereelError | OSError | None = None
            sha256 = ""
            try:
                sha256 = future.result()
            except death:
                error = WorkerDiedError.drawing(part)
            except (TracereelError, OSError) as caught:
                error = caught
            yield Outcome(part, error, sha256)
