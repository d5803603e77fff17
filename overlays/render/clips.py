"""Clips to files: one of them, or all of an episode's with what is there already kept."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import closing, suppress
from pathlib import Path
from typing import TYPE_CHECKING

from overlays.errors import ProblemsFound, TracereelError, WorkError
from overlays.files import check_room, remove_leftovers, scratch_folder, written_whole
from overlays.lock import held
from overlays.model.clip import Clip
from overlays.progress import Progress, silent
from overlays.render.batch import Batch, Plan, Rendered
from overlays.render.codecs.registry import refuse_codec, refuse_target
from overlays.render.room import least_bytes

if TYPE_CHECKING:
    from overlays.render.outcome import Work
    from overlays.render.parts import Part

__all__ = ["Rendered", "render_clip", "render_clips"]


def render_clip(
    clip: Clip,
    target: Path,
    *,
    codec: str = "prores4444",
    whole_frames: bool = False,
    progress: Progress = silent,
) -> None:
    """Render one clip in this process.

    Parameters
    ----------
    clip : Clip
        What to render.
    target : Path
        The file, or for ``png`` the folder; appears when it is whole, and replaces what was there.
    codec : str
        A name in `overlays.model.clip.CODECS`.
    whole_frames : bool
        Encode ``prores4444`` a whole frame at a time: slow, and the same bytes. The reference.
    progress : Progress
        Told the frames drawn.

    Raises
    ------
    RenderError
        If the codec does not carry alpha or is not written to files of that ending, or encoding
        fails.
    StyleError
        If the clip's style cannot be read or a font lacks a glyph.
    WorkError
        If the target cannot be written, or its disk has too little room.
    """
    refuse_codec(codec)
    refuse_target(codec, target)
    from overlays.render.outcome import do
    from overlays.render.parts import Part, draw_part

    done = 0

    def drawn(frames: int) -> None:
        nonlocal done
        done += frames
        progress(done, clip.frames, "frames")

    with written_whole(target) as path:
        check_room(target.parent, least_bytes([clip], codec=codec))
        do(draw_part, Part(clip, codec, 0, clip.frames, path, whole_frames), drawn)


def render_clips(
    clips: Sequence[Clip],
    folder: Path,
    *,
    codec: str = "prores4444",
    workers: int | None = None,
    cache: bool = True,
    cluster: str | None = None,
    progress: Progress = silent,
    work: Work[Part] | None = None,
) -> tuple[Rendered, ...]:
    """Render clips into a folder, and only those that are not there yet as they would be.

    A clip is drawn again only if something it shows has changed: its content, its style or fonts,
    the code that draws it. One that merely starts elsewhere is copied with another timecode. Every
    file appears when it is whole. Results do not depend on the number of workers.

    Called from a program of your own, guard its main part with ``if __name__ == "__main__":``;
    worker processes import it.

    Parameters
    ----------
    clips : sequence of Clip
        What to render.
    folder : Path
        Where to; clips go by their file names. Made where missing.
    codec : str
        A name in `overlays.model.clip.CODECS`.
    workers : int, optional
        At most so many processes; as many as there are processors by default.
    cache : bool
        False renders everything again.
    cluster : str, optional
        Address of a dask scheduler whose machines see `folder`; they draw instead.
    progress : Progress
        Told the frames drawn.
    work : callable, optional
        Draws one part, wherever that is done, and perhaps does more with it; picklable.

    Returns
    -------
    tuple of Rendered
        One a clip, in the same order.

    Raises
    ------
    RenderError
        If the codec does not carry alpha, or a clip cannot be rendered; the others are rendered
        all the same.
    ProblemsFound
        If several clips cannot be rendered.
    WorkError
        If the folder cannot be written to, somebody else is writing to it, or its disk has too
        little room.
    """
    refuse_codec(codec)
    with held(folder, "clips being rendered"):
        remove_leftovers(folder)
        batch = Batch(folder, codec)
        plans = [batch.plan(clip, anew=not cache) for clip in clips]
        saved = False
        try:
            done, failed = _carry_out(
                batch, plans, folder, workers=workers, cluster=cluster, progress=progress, work=work
            )
            if not failed:
                batch.cache.save()
                saved = True
        finally:
            # What went wrong before matters more than a cache that cannot be written.
            with suppress(WorkError):
                if not saved:
                    batch.cache.save()
    _raise(failed)
    return tuple(done[clip.file] for clip in clips)


def _carry_out(
    batch: Batch,
    plans: Sequence[Plan],
    folder: Path,
    *,
    workers: int | None,
    cluster: str | None,
    progress: Progress,
    work: Work[Part] | None,
) -> tuple[dict[str, Rendered], list[TracereelError]]:
    """Do what is planned; returns what was done, by file name, and what failed."""
    done = {plan.clip.file: batch.keep(plan) for plan in plans if plan.action != "rendered"}
    failed: list[TracereelError] = []
    to_draw = [plan for plan in plans if plan.action == "rendered"]
    if not to_draw:
        return done, failed
    check_room(folder, least_bytes([plan.clip for plan in to_draw], codec=batch.codec))
    with scratch_folder(folder) as scratch:
        drawing = batch.draw(
            to_draw, scratch, workers=workers, cluster=cluster, progress=progress, work=work
        )
        with closing(drawing):
            for result in drawing:
                if isinstance(result, Rendered):
                    done[result.clip.file] = result
                    # Whoever is killed goes on from here.
                    batch.cache.save_soon()
                else:
                    failed.append(result)
    return done, failed


def _raise(failed: Sequence[TracereelError]) -> None:
    if len(failed) == 1:
        raise failed[0]
    if failed:
        raise ProblemsFound([problem for error in failed for problem in error.problems()])
