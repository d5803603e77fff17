"""Parts submitted to an executor, and what became of them."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Executor, Future, wait
from dataclasses import dataclass

from overlays.errors import RenderError, TracereelError
from overlays.render.parts import Part

__all__ = ["Outcome", "WorkerDiedError", "completed"]

_LOOK_EVERY_S = 0.2


@dataclass(frozen=True, slots=True, eq=False)
class Outcome:
    """A part that is finished, with its file's SHA-256, or why it is not."""

    part: Part
    error: TracereelError | OSError | None
    sha256: str = ""


class WorkerDiedError(RenderError):
    """The process drawing a part went away."""

    @classmethod
    def drawing(cls, part: Part) -> WorkerDiedError:
        """Return the error that says so."""
        return cls(
            f"the process drawing clip {part.clip.cue!r} was killed, and again when it was tried "
            "once more.",
            code="worker-died",
            remedy="Memory may have run out: use fewer workers, close other programs, or choose "
            "a smaller canvas.",
        )


def completed(
    pool: Executor,
    task: Callable[[Part], str],
    parts: Sequence[Part],
    *,
    death: type[Exception],
    tell: Callable[[], None],
) -> Iterator[Outcome]:
    """Submit parts, and yield each as soon as it is finished.

    Parameters
    ----------
    pool : Executor
        Where to.
    task : callable
        Draws one part, returns its SHA-256.
    parts : sequence of Part
        In the order in which they should be begun.
    death : type of exception
        What `pool` raises when a worker went away; becomes `WorkerDiedError`.
    tell : callable
        Called a few times a second.
    """
    waiting: dict[Future[str], Part] = {pool.submit(task, part): part for part in parts}
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
