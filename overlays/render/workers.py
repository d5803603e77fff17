"""Where parts are drawn: in this process, in several, or on a cluster."""

from __future__ import annotations

import os
from collections.abc import Generator, Sequence

from overlays.errors import TracereelError
from overlays.progress import Progress, silent
from overlays.render.outcome import J, Outcome, Work, do
from overlays.render.parts import Part, draw_part

__all__ = ["draw_parts", "memory_bytes", "usual_workers", "work_on"]

# Starting a worker takes about as long as looking at so many frames.
_FRAMES_A_WORKER = 400
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
    memory = memory_bytes()
    if memory is None:
        return processors
    return max(1, min(processors, memory // (_BYTES_A_WORKER + _BYTES_A_PIXEL * pixels)))


def memory_bytes() -> int | None:
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
    work: Work[Part] | None = None,
) -> Generator[Outcome[Part], None, None]:
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
    work : callable, optional
        Draws one part, and perhaps does more with it; picklable. `draw_part` by default.

    Raises
    ------
    RenderError
        If the cluster cannot be reached or used.
    """
    if not parts:
        return
    if cluster is not None:
        from overlays.render.cluster import draw_on_cluster

        yield from draw_on_cluster(parts, address=cluster, progress=progress, work=work)
    elif workers == 1 or len(parts) == 1:
        yield from _here(parts, work or draw_part, progress, "frames")
    else:
        from overlays.render.processes import draw_in_processes

        count = min(workers, len(parts))
        yield from draw_in_processes(parts, workers=count, progress=progress, work=work)


def work_on(
    jobs: Sequence[J],
    work: Work[J],
    *,
    workers: int | None = None,
    progress: Progress = silent,
    what: str,
) -> Generator[Outcome[J], None, None]:
    """Do any jobs with clips, as parts are drawn, on this machine.

    Parameters
    ----------
    jobs : sequence of Job
        In the order in which they should be begun.
    work : callable
        Does one; picklable.
    workers : int, optional
        At most so many processes; as many as are sensible by default.
    progress : Progress
        Told the frames done.
    what : str
        What `progress` calls them.
    """
    if not jobs:
        return
    pixels = max(job.clip.stage.width * job.clip.stage.height for job in jobs)
    most = usual_workers(pixels) if workers is None else max(1, workers)
    count = min(most, len(jobs), max(1, sum(job.frames for job in jobs) // _FRAMES_A_WORKER))
    if count == 1:
        yield from _here(jobs, work, progress, what)
    else:
        from overlays.render.processes import work_in_processes

        yield from work_in_processes(jobs, work, workers=count, progress=progress, what=what)


def _here(
    parts: Sequence[J], work: Work[J], progress: Progress, what: str
) -> Generator[Outcome[J], None, None]:
    total = sum(part.frames for part in parts)
    done = 0

    def drawn(frames: int) -> None:
        nonlocal done
        done += frames
        progress(done, total, what)

    for part in parts:
        error: TracereelError | OSError | None = None
        sha256 = ""
        try:
            sha256 = do(work, part, drawn)
        except (TracereelError, OSError) as caught:
            error = caught
        yield Outcome(part, error, sha256)
