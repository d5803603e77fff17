"""Every clip of an episode checked, in worker processes: most of them while they are drawn."""

from __future__ import annotations

import json
from collections.abc import Sequence
from contextlib import closing, suppress
from dataclasses import asdict, dataclass
from pathlib import Path

from pydantic import TypeAdapter

from overlays.checks.findings import Finding
from overlays.checks.footage import still_of
from overlays.checks.judge_clip import ClipWatch, Judged
from overlays.errors import TracereelError
from overlays.files import write_text_whole
from overlays.model.clip import Clip
from overlays.progress import Progress, silent
from overlays.render.batch import Rendered
from overlays.render.outcome import Drawn
from overlays.render.parts import Part, draw_part
from overlays.render.workers import work_on
from overlays.turnover.kept_judgements import KeptJudgements
from overlays.turnover.kept_strips import KeptStrips
from overlays.turnover.strip import Picture, frames_to_show, strip

__all__ = ["DrawAndProve", "ProofJob", "prove", "prove_clips"]

_WHAT = "frames checked"


@dataclass(frozen=True, slots=True)
class Proof:
    """What a worker hands back.

    Parameters
    ----------
    judged : Judged
        What was found.
    frames : tuple of int
        Frames of the cue that `pictures` shows.
    pictures : tuple of Picture
        The clip's strip.
    """

    judged: Judged
    frames: tuple[int, ...]
    pictures: tuple[Picture, ...]


_PROOF = TypeAdapter(Proof)


@dataclass(frozen=True, slots=True, eq=False)
class ProofJob:
    """A clip to be checked.

    Parameters
    ----------
    clip : Clip
        What was to be rendered.
    file : Path
        What was written.
    codec : str
        How.
    footage : Path or None
        A camera file that it will lie over.
    target : Path
        Where the proof goes.
    """

    clip: Clip
    file: Path
    codec: str
    footage: Path | None
    target: Path

    @property
    def frames(self) -> int:
        """How many frames are looked at."""
        return self.clip.frames


def prove(job: ProofJob, drawn: Drawn) -> str:
    """Check one clip, draw its strip, and write both to the job's target; returns nothing."""
    watch = ClipWatch(job.clip, job.codec)
    watch.see_all(drawn)
    _write_proof(watch, job.file, job.footage, job.target)
    return ""


def _write_proof(watch: ClipWatch, file: Path, footage: Path | None, target: Path) -> None:
    scene = watch.scene
    judged = watch.judged(file, footage=still_of(footage, scene.width, scene.height))
    frames = frames_to_show(watch.clip, judged.findings)
    proof = Proof(judged, frames, strip(scene, frames))
    write_text_whole(target, json.dumps(asdict(proof)))


@dataclass(frozen=True, slots=True)
class DrawAndProve:
    """Draws a part and, where it is a whole clip, checks it while all is at hand.

    Parameters
    ----------
    folder : Path
        Where proofs go, each called by the SHA-256 of what it is about.
    footage : Path or None
        A camera file that clips will lie over.
    """

    folder: Path
    footage: Path | None

    def __call__(self, part: Part, drawn: Drawn) -> str:
        """Draw it; returns its SHA-256, and raises as `overlays.render.parts.draw_part`."""
        if part.frames != part.clip.frames:
            return draw_part(part, drawn)
        watch = ClipWatch(part.clip, part.codec)
        sha256 = draw_part(part, drawn, scene=watch.scene, seen=watch.see)
        # A clip that cannot be checked here is checked once more when it is in place; what is
        # wrong then is told.
        with suppress(TracereelError, MemoryError):
            _write_proof(watch, part.target, self.footage, self.folder / f"{sha256}.json")
        return sha256


def prove_clips(
    rendered: Sequence[Rendered],
    folder: Path,
    *,
    codec: str,
    proofs: Path,
    footage: Path | None = None,
    strips: KeptStrips,
    workers: int | None = None,
    progress: Progress = silent,
) -> dict[str, Judged]:
    """Gather what was found of the clips of a turnover, and check those not checked as they are.

    Parameters
    ----------
    rendered : sequence of Rendered
        The clips.
    folder : Path
        The turnover, held by the caller.
    codec : str
        They were encoded with.
    proofs : Path
        What `DrawAndProve` wrote.
    footage : Path, optional
        A camera file of the session.
    strips : KeptStrips
        Receives the picture strips of the clips that were checked.
    workers : int, optional
        At most so many processes.
    progress : Progress
        Told the frames looked at.

    Returns
    -------
    dict of str to Judged
        By cue.
    """
    kept = KeptJudgements(folder, codec, footage)
    found: dict[str, Judged] = {}
    jobs: dict[Path, Rendered] = {}

    def take(item: Rendered, file: Path) -> None:
        proof = _PROOF.validate_json(file.read_bytes())
        kept.put(item, proof.judged)
        strips.put(item, proof.frames, proof.pictures)
        found[item.clip.cue] = proof.judged

    for item in sorted(rendered, key=lambda item: -item.clip.frames):
        proof = proofs / f"{item.sha256}.json"
        if (judged := kept.get(item)) is not None:
            found[item.clip.cue] = judged
        elif proof.exists():
            take(item, proof)
        else:
            jobs[proofs / f"{len(jobs)}.json"] = item
    work = [ProofJob(item.clip, item.path, codec, footage, file) for file, item in jobs.items()]
    with closing(work_on(work, prove, workers=workers, progress=progress, what=_WHAT)) as proving:
        for outcome in proving:
            item = jobs[outcome.part.target]
            if outcome.error is None:
                take(item, outcome.part.target)
            else:
                found[item.clip.cue] = _unchecked(outcome.error)
    kept.save()
    return found


def _unchecked(error: TracereelError | OSError) -> Judged:
    """Return what is said of a clip that could not be checked: nothing may be assumed of it."""
    why = error.message if isinstance(error, TracereelError) else str(error.strerror or error)
    remedy = error.remedy if isinstance(error, TracereelError) else "Run 'episode' again."
    message = f"the clip could not be checked: {why}"
    return Judged((Finding("decode-back", "fail", message, remedy),), None)
