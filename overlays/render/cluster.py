"""Drawing parts on the machines of a dask cluster, through the same executor interface."""

from __future__ import annotations

from collections.abc import Generator, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from overlays.errors import RenderError
from overlays.progress import Progress
from overlays.render.code_versions import code_digest
from overlays.render.outcome import Outcome, Work, completed, do
from overlays.render.parts import Part, draw_part

if TYPE_CHECKING:
    from distributed import Client

__all__ = ["draw_on_cluster"]

_ANSWER_WITHIN_S = 10


def draw_on_cluster(
    parts: Sequence[Part], *, address: str, progress: Progress, work: Work[Part] | None = None
) -> Generator[Outcome[Part], None, None]:
    """Draw parts on a cluster whose machines see the same folders under the same paths.

    Parameters
    ----------
    parts : sequence of Part
        In the order in which they should be begun.
    address : str
        Of the dask scheduler, such as ``"tcp://10.0.0.5:8786"``.
    progress : Progress
        Told when a part is finished.
    work : callable, optional
        Draws one, and perhaps does more with it; picklable.

    Raises
    ------
    RenderError
        If dask's package is missing, no scheduler answers, or a machine sees other folders or has
        another version of the code.
    """
    try:
        from distributed import Client, KilledWorker
    except ImportError as error:
        raise RenderError(
            "drawing on a cluster needs the package 'distributed', which is not installed.",
            code="no-cluster-package",
            remedy="Install tracereel[cluster], or leave the cluster out.",
        ) from error
    try:
        client = Client(  # type: ignore[no-untyped-call]
            address, timeout=_ANSWER_WITHIN_S, set_as_default=False
        )
    except (OSError, ValueError) as error:
        raise RenderError(
            f"no dask scheduler answers at {address!r}: {error}.",
            code="no-cluster",
            remedy="Start one ('dask scheduler'), or correct the address.",
        ) from error
    total = sum(part.frames for part in parts)
    finished = 0
    with client:
        _check(client, parts[0].target.parent)
        pool = client.get_executor(retries=1)  # type: ignore[no-untyped-call]
        try:
            task = partial(_uncounted, work or draw_part)
            done = completed(pool, task, parts, death=KilledWorker, tell=_nothing)
            for outcome in done:
                finished += outcome.part.frames
                progress(finished, total, "frames")
                yield outcome
        finally:
            pool.shutdown(wait=False)


def _uncounted(work: Work[Part], part: Part) -> str:
    return do(work, part, _ignore)


def _ignore(frames: int) -> None:
    del frames


def _nothing() -> None:
    """Tell nobody: machines report when a part is finished."""


def _sees(folder: str) -> tuple[bool, str]:
    return Path(folder).is_dir(), code_digest()


def _check(client: Client, folder: Path) -> None:
    expected = (True, code_digest())
    answers = client.run(_sees, str(folder))
    if not answers:
        raise RenderError(
            "the cluster has no workers.",
            code="no-cluster",
            remedy="Start some ('dask worker ADDRESS') on machines that see the output folder.",
        )
    for machine, answer in answers.items():
        if answer == expected:
            continue
        sees = "has another version of this program" if answer[0] else f"does not see {folder}"
        raise RenderError(
            f"the machine {machine} {sees}.",
            code="cluster-differs",
            remedy="Give all machines the same version and a shared folder for the output.",
        )
