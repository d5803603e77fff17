"""A whole episode: clips rendered and checked, turnover written."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from overlays.checks.findings import Finding, placed, waive
from overlays.checks.judge_clip import Judged
from overlays.checks.numbers import judge_numbers
from overlays.checks.overlapping import judge_overlaps
from overlays.checks.pace import judge_pace
from overlays.errors import Problems, TurnoverError
from overlays.files import remove_leftovers, scratch_folder
from overlays.lock import held
from overlays.model.clip import Clip
from overlays.plan import Episode, open_episode, plan_episode
from overlays.progress import Progress, silent
from overlays.render.batch import Rendered
from overlays.render.clips import render_clips
from overlays.render.codecs.registry import refuse_codec
from overlays.render.footage import footage_files
from overlays.session.reader import SESSION_FILE
from overlays.turnover.kept_strips import KeptStrips
from overlays.turnover.manifest import CLIPS_FOLDER, Manifest
from overlays.turnover.proof import DrawAndProve, prove_clips
from overlays.turnover.writer import write_turnover

__all__ = ["Made", "make_episode"]


@dataclass(frozen=True, slots=True, eq=False)
class Made:
    """What became of an episode.

    Parameters
    ----------
    manifest : Manifest
        What the turnover holds.
    rendered : tuple of Rendered
        What was done about each clip, and why.
    problems : Problems
        Warnings met on the way.
    findings : tuple of Finding
        Of every check, passes and waived failures among them.
    """

    manifest: Manifest
    rendered: tuple[Rendered, ...]
    problems: Problems
    findings: tuple[Finding, ...]

    @property
    def stopped(self) -> tuple[Finding, ...]:
        """The failures that the session does not waive."""
        return tuple(finding for finding in self.findings if finding.stops)


def make_episode(
    session: Path,
    out: Path,
    *,
    codec: str = "prores4444",
    workers: int | None = None,
    cluster: str | None = None,
    progress: Progress = silent,
) -> Made:
    """Render every clip of a session, check what was written, and write the turnover.

    Nothing is written before the whole session is found to be in order. A check that fails stops
    nothing here: the turnover is written, and its review page says what fails.

    Parameters
    ----------
    session, out : Path
        The session's folder, and the turnover's.
    codec, workers, cluster, progress
        As `overlays.render.clips.render_clips`. Clips are checked on this machine.

    Raises
    ------
    ProblemsFound
        If the session has errors.
    RenderError, TurnoverError, WorkError
        If the work fails, `out` is a session's folder, its folder of clips is a link, or somebody
        else is at work in it; clips already whole stay, and the next call goes on from them.
    """
    refuse_codec(codec)
    problems = Problems()
    episode = open_episode(session, problems, progress=progress)
    clips = plan_episode(episode, problems, codec=codec) if episode else ()
    problems.raise_errors()
    assert episode is not None  # noqa: S101 (raise_errors left otherwise)
    footage = next(iter(footage_files(session)), None)
    _refuse_folder(out)
    with held(out, "an episode being made"):
        remove_leftovers(out)
        strips = KeptStrips(out)
        with scratch_folder(out) as proofs:
            rendered = render_clips(
                clips,
                out / CLIPS_FOLDER,
                codec=codec,
                workers=workers,
                cluster=cluster,
                progress=progress,
                work=DrawAndProve(proofs, footage),
            )
            judged = prove_clips(
                rendered,
                out,
                codec=codec,
                proofs=proofs,
                footage=footage,
                strips=strips,
                workers=workers,
                progress=progress,
            )
        findings = _findings(episode, clips, judged, progress)
        _warn_of_idle_waivers(episode, findings, problems)
        manifest = write_turnover(
            out,
            episode,
            rendered,
            codec=codec,
            problems=problems,
            findings=findings,
            strips=strips,
            progress=progress,
        )
    return Made(manifest, rendered, problems, findings)


def _refuse_folder(out: Path) -> None:
    """Refuse a folder in which a turnover would replace what is not its own."""
    if (out / SESSION_FILE).exists():
        raise TurnoverError(
            f"{str(out)!r} is a session's folder, and a turnover would replace files of it, such "
            "as its captions.",
            code="folder-in-use",
            remedy="Name another folder with --out.",
        )
    if (out / CLIPS_FOLDER).is_symlink():
        raise TurnoverError(
            f"the folder {CLIPS_FOLDER!r} is a link that leads out of the turnover.",
            code="path-leaves-turnover",
            file=CLIPS_FOLDER,
            remedy="Take the link away, or name another folder with --out.",
        )


def _findings(
    episode: Episode, clips: Sequence[Clip], judged: Mapping[str, Judged], progress: Progress
) -> tuple[Finding, ...]:
    """Put what was found of every clip on the timeline, add what holds for all, waive."""
    found = [_at(clip, item) for clip in clips for item in judged[clip.cue].findings]
    by_cue = {clip.cue: clip for clip in clips}
    numbers = {clip.cue: judged[clip.cue].numbers for clip in clips}
    read = {cue: texts for cue, texts in numbers.items() if texts is not None}
    found += [
        _at(by_cue[item.cue], item) if item.cue in by_cue else item
        for item in judge_numbers(episode.results, clips, read)
    ]
    found += [*judge_overlaps(clips), *judge_pace(clips, progress=progress)]
    return waive(found, episode.results.session.spec.waivers)


def _warn_of_idle_waivers(
    episode: Episode, findings: Sequence[Finding], problems: Problems
) -> None:
    session = episode.results.session
    for index, waiver in enumerate(session.spec.waivers):
        used = any(
            item.waived and item.check == waiver.check and waiver.cue in ("", item.cue)
            for item in findings
        )
        if not used:
            problems.warn(
                "idle-waiver",
                f"nothing that {waiver.check!r} checks fails: the waiver waives nothing.",
                file=session.file("waivers"),
                line=session.line("waivers", index, "check"),
                remedy="Take it out.",
            )


def _at(clip: Clip, finding: Finding) -> Finding:
    return placed(
        finding, cue=clip.cue, timebase=clip.timebase, file_first_frame=clip.file_first_frame
    )
