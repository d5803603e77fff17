"""Drawing parts in worker processes of this machine.

They start afresh on every system (``spawn``), so that nothing is inherited by chance, and are
killed at once when the work is left by an error or by ^C; they leave by themselves when the main
process is killed. A worker that dies (for want of memory, say) breaks its pool, and nobody can tell
which part it was drawing. Whatever was unfinished is then drawn one part at a time, and a part
whose worker dies over it alone, twice, is given up.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
from collections.abc import Callable, Generator, Iterator, Sequence
from concurrent.futures.process import BrokenProcessPool, ProcessPoolExecutor
from contextlib import contextmanager
from functools import partial
from multiprocessing.context import SpawnContext
from multiprocessing.sharedctypes import Synchronized
from pathlib import Path

from overlays.progress import Progress
from overlays.render.outcome import J, Outcome, Work, WorkerDiedError, completed, do
from overlays.render.parts import Part, draw_part

__all__ = ["draw_in_processes", "work_in_processes"]

_counter: Synchronized[int] | None = (
    None  # in a worker: frames drawn by all, shared with the main process
)


def draw_in_processes(
    parts: Sequence[Part], *, workers: int, progress: Progress, work: Work[Part] | None = None
) -> Generator[Outcome[Part], None, None]:
    """Draw parts, yielding each as it is finished; closing the iterator stops the work at once.

    Parameters
    ----------
    parts : sequence of Part
        In the order in which they should be begun.
    workers : int
        Processes.
    progress : Progress
        Told the frames drawn.
    work : callable, optional
        Draws one, and perhaps does more with it; picklable.
    """
    task = _task if work is None else partial(_counted, work)
    return _done_in_processes(parts, task, workers=workers, progress=progress, what="frames")


def work_in_processes(
    jobs: Sequence[J], work: Work[J], *, workers: int, progress: Progress, what: str
) -> Generator[Outcome[J], None, None]:
    """Do any jobs in the same way.

    Parameters
    ----------
    jobs : sequence of Job
        In the order in which they should be begun.
    work : callable
        Does one; picklable.
    workers : int
        Processes.
    progress : Progress
        Told the frames done.
    what : str
        What `progress` calls them.
    """
    task = partial(_counted, work)
    return _done_in_processes(jobs, task, workers=workers, progress=progress, what=what)


def _done_in_processes(
    parts: Sequence[J],
    task: Callable[[J], str],
    *,
    workers: int,
    progress: Progress,
    what: str,
) -> Generator[Outcome[J], None, None]:
    context = multiprocessing.get_context("spawn")
    counter = context.Value("q", 0)
    total = sum(part.frames for part in parts)
    left = {part.target: part for part in parts}
    finished = 0

    def tell() -> None:
        progress(min(counter.value, total), total, what)

    def settled(outcome: Outcome[J]) -> Outcome[J]:
        nonlocal finished
        finished += outcome.part.frames
        del left[outcome.part.target]
        return outcome

    with _pool(context, workers, counter) as pool:
        for outcome in completed(pool, task, parts, death=BrokenProcessPool, tell=tell):
            if not isinstance(outcome.error, WorkerDiedError):
                yield settled(outcome)
    died: set[Path] = set()
    while left:
        counter.value = finished  # what a dead worker had drawn is drawn again
        with _pool(context, 1, counter) as pool:
            for part in list(left.values()):
                (outcome,) = completed(pool, task, [part], death=BrokenProcessPool, tell=tell)
                dead = isinstance(outcome.error, WorkerDiedError)
                if not dead or part.target in died:
                    yield settled(outcome)
                if dead:
                    died.add(part.target)
                    break
    tell()


def _begin(counter: Synchronized[int]) -> None:
    global _counter  # noqa: PLW0603 (what a pool's initializer leaves for its tasks)
    _counter = counter
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # ^C is the main process's business
    threading.Thread(target=_leave_with_parent, daemon=True).start()


def _leave_with_parent() -> None:
    """End this worker as soon as the main process is gone, killed perhaps, and cannot end it."""
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)


def _task(part: Part) -> str:
    return do(draw_part, part, _count)


def _counted(work: Work[J], job: J) -> str:
    return do(work, job, _count)


def _count(frames: int) -> None:
    if _counter is not None:
        with _counter.get_lock():
            _counter.value += frames


@contextmanager
def _pool(
    context: SpawnContext, workers: int, counter: Synchronized[int]
) -> Iterator[ProcessPoolExecutor]:
    before = set(multiprocessing.active_children())
    pool = ProcessPoolExecutor(workers, mp_context=context, initializer=_begin, initargs=(counter,))
    try:
        with _interrupts_put_off():
            for _ in range(workers):
                pool.submit(int)  # anything will do: each starts a process while none is idle
        yield pool
    except BaseException:
        for child in set(multiprocessing.active_children()) - before:
            child.kill()
        raise
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


@contextmanager
def _interrupts_put_off() -> Iterator[None]:
    """Start processes that are deaf to ^C from their first moment; ours comes when they run."""
    if not hasattr(signal, "pthread_sigmask"):  # Windows has none
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
