"""Where parts are drawn: in this process, in several, or on a cluster."""

from __future__ import annotations

import os
from collections.abc import Generator, Sequence

from overlays.errors import TracereelError
from overlays.progress import Progress, silent
from overlays.render.outcome import Outcome
from overlays.render.parts import Part, draw_part

__all__ = ["draw_parts", "usual_workers"]


# What a worker was measured to take: 110 MB, and 30 bytes a pixel of its canvas; and some to spare.
_BYTES_A_WORKER, _BYTES_A_PIXEL = 200_000_000, 45


def usual_workers(pixels: int) -> int:
    """Return how many processors this process may use, or fewer where memory is scarce.

    Parameters
    ----------
    pixels : int
        On the canvas.
    """
    may_use = getattr(os, "sched_getaffinity", None)
    processors = len(may_use(0)) if may_use else os.cpu_count() or 1
    memory = _memory_bytes()
    if memory is None:
        return processors
    return max(1, min(processors, memory // (_BYTES_A_WORKER + _BYTES_A_PIXEL * pixels)))


def _memory_bytes() -> int | None:
    """Return the machine's memory, None where the system does not say."""
    if "SC_PHYS_PAGES" not in getattr(os, "sysconf_names", {}):
        return None
    return os.sysconf("SC_PHYS_PAGES") * os.sysconf("SC_PAGE_SIZE")


def draw_parts(
    parts: Sequence[Part],
    *,
    workers: int,
    cluster: str | None = None,
    progress: Progress = silent,
) -> Generator[Outcome, None, None]:
    """Draw parts, yielding each as it is finished; closing the iterator stops the work at once.

    Parameters
    ----------
    parts : sequence of Part
        In the order in which they should be begun.
    workers : int
        Processes; with 1, or a single part, this one draws.
    cluster : str, optional
        Address of a dask scheduler; `workers` is not used then.
    progress : Progress
        Told the frames drawn.

    Raises
    ------
    RenderError
        If the cluster cannot be reached or used.
    """
    if not parts:
        return
    if cluster is not None:
        from overlays.render.cluster import draw_on_cluster

        yield from draw_on_cluster(parts, address=cluster, progress=progress)
    elif workers == 1 or len(parts) == 1:
        yield from _here(parts, progress)
    else:
        from overlays.render.processes import draw_in_processes

        yield from draw_in_processes(parts, workers=min(workers, len(parts)), progress=progress)


def _here(parts: Sequence[Part], progress: Progress) -> Generator[Outcome, None, None]:
    total = sum(part.frames for part in parts)
    done = 0

    def drawn(frames: int) -> None:
        nonlocal done
        done += frames
        progress(done, total, "frames")

    for part in parts:
        error: TracereelError | OSError | None = None
        sha256 = ""
        try:
            sha256 = draw_part(part, drawn)
        except (TracereelError, OSError) as caught:
            error = caught
        yield Outcome(part, error, sha256)
