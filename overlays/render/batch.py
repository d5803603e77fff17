"""Many clips into one folder: what is there already, what to copy, what to draw, and why."""

from __future__ import annotations

from collections.abc import Generator, Iterator, Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from overlays.errors import TracereelError
from overlays.files import unwritten, written_whole
from overlays.model.clip import CODECS, Clip
from overlays.progress import Progress
from overlays.render.cache import Cache, Record, digest
from overlays.render.fingerprint import digest_of, fingerprint, reasons

if TYPE_CHECKING:
    from overlays.render.outcome import Work
    from overlays.render.parts import Part

__all__ = ["Action", "Batch", "Plan", "Rendered"]

# Starting a worker takes about as long as drawing so many frames, and so does laying out a clip.
_FRAMES_A_WORKER = 600
_FRAMES_A_LAYOUT = 200

Action = Literal["rendered", "re-stamped", "reused"]


@dataclass(frozen=True, slots=True, eq=False)
class Plan:
    """What is to be done about a clip, and why.

    Parameters
    ----------
    clip : Clip
        The clip.
    action : {"rendered", "re-stamped", "reused"}
        To be drawn and encoded; to be copied with another start timecode; to be left as it is.
    why : tuple of str
        What has changed, such as ``"data (lines)"``, ``"style"`` or ``"start"``.
    made_from : Mapping[str, str]
        Its fingerprint.
    start : str
        Timecode of its first frame; empty where the codec keeps none.
    """

    clip: Clip
    action: Action
    why: tuple[str, ...]
    made_from: Mapping[str, str]
    start: str


@dataclass(frozen=True, slots=True, eq=False)
class Rendered:
    """What was done about a clip; fields as in `Plan`.

    Parameters
    ----------
    clip : Clip
        The clip.
    path : Path
        Its file, or folder of files.
    action : {"rendered", "re-stamped", "reused"}
        What was done.
    why : tuple of str
        Why.
    sha256 : str
        Of the file; see `overlays.render.cache.digest`.
    key : str
        Digest of its fingerprint: the same key, the same pictures. Empty where nobody knows.
    """

    clip: Clip
    path: Path
    action: Action
    why: tuple[str, ...]
    sha256: str
    key: str = ""

    def __str__(self) -> str:
        reason = f": {', '.join(self.why)}" if self.why else ""
        return f"{self.clip.file}: {self.action}{reason}"


class Batch:
    """Clips of one codec in one folder.

    Parameters
    ----------
    folder : Path
        Held by the caller.
    codec : str
        A name in `overlays.model.clip.CODECS`.
    """

    def __init__(self, folder: Path, codec: str) -> None:
        self.cache = Cache(folder)
        self._folder = folder
        self.codec = codec
        self._styles: dict[tuple[str, str], str] = {}

    def plan(self, clip: Clip, *, anew: bool = False) -> Plan:
        """Decide what to do about a clip; `anew` draws it whatever is there."""
        made_from = fingerprint(clip, codec=self.codec, styles=self._styles)
        # Pictures in a folder have no timecode: where they begin is none of their business.
        start = clip.timebase.label(clip.file_first_frame) if CODECS[self.codec] else ""
        action, why = self._judge(clip, made_from, start, anew=anew)
        return Plan(clip, action, why, made_from, start)

    def _judge(
        self, clip: Clip, made_from: Mapping[str, str], start: str, *, anew: bool
    ) -> tuple[Action, tuple[str, ...]]:
        path, record = self._folder / clip.file, self.cache.records.get(clip.file)
        if anew:
            return "rendered", ("asked for",)
        if record is None:
            return "rendered", ("not rendered before",)
        if changed := reasons(record.made_from, made_from):
            return "rendered", changed
        if not record.describes(path):
            return "rendered", ("file changed" if path.exists() else "file missing",)
        return ("reused", ()) if record.start == start else ("re-stamped", ("start",))

    def keep(self, plan: Plan) -> Rendered:
        """Leave a file as it is, or copy it with another timecode.

        Raises
        ------
        RenderError
            If it cannot be read.
        WorkError
            If it cannot be written.
        """
        path = self._folder / plan.clip.file
        if plan.action == "re-stamped":
            from overlays.render.codecs.base import FileSpec
            from overlays.render.codecs.registry import codec_named

            with written_whole(path) as copy:
                codec_named(self.codec).join([path], copy, FileSpec.of(plan.clip))
                sha256 = digest(copy)
            return self._written(plan, sha256)
        sha256 = self.cache.records[plan.clip.file].sha256
        return Rendered(plan.clip, path, "reused", (), sha256, digest_of(plan.made_from))

    def draw(
        self,
        plans: Sequence[Plan],
        scratch: Path,
        *,
        workers: int | None,
        cluster: str | None,
        progress: Progress,
        work: Work[Part] | None = None,
    ) -> Generator[Rendered | TracereelError, None, None]:
        """Draw clips, longest first, and yield each, or why it could not be drawn, when done."""
        from overlays.render.workers import draw_parts, usual_workers

        pixels = max(plan.clip.stage.width * plan.clip.stage.height for plan in plans)
        most = usual_workers(pixels) if workers is None else max(1, workers)
        sensible = sum(p.clip.frames + _FRAMES_A_LAYOUT for p in plans) // _FRAMES_A_WORKER
        count = min(most, max(1, sensible))
        owners: dict[Path, Plan] = {}
        parts: dict[str, list[Part]] = {}
        for plan, mine in self._cut(plans, scratch, pieces=most if cluster else count):
            parts[plan.clip.file] = mine
            owners |= {part.target: plan for part in mine}
        left = {name: len(mine) for name, mine in parts.items()}
        order = [part for mine in parts.values() for part in mine]
        drawing = draw_parts(order, workers=count, cluster=cluster, progress=progress, work=work)
        with closing(drawing):  # whatever happens here, no worker goes on
            for outcome in drawing:
                plan = owners[outcome.part.target]
                name = plan.clip.file
                left[name] -= 1
                if outcome.error is None and not left[name]:
                    yield self._place(plan, parts[name], outcome.sha256)
                elif outcome.error is not None and left[name] >= 0:
                    left[name] = -len(parts[name])  # its other parts are of no use any more
                    yield self._explained(plan, outcome.error, outcome.part.target)

    def _cut(
        self, plans: Sequence[Plan], scratch: Path, *, pieces: int
    ) -> Iterator[tuple[Plan, list[Part]]]:
        from overlays.render.codecs.registry import codec_named
        from overlays.render.parts import cut

        share = -(-sum(plan.clip.frames for plan in plans) // pieces)
        for number, plan in enumerate(sorted(plans, key=lambda p: -p.clip.frames)):
            count = -(-plan.clip.frames // share)
            stem = scratch / str(number)
            yield plan, list(cut(plan.clip, stem, codec=codec_named(self.codec), pieces=count))

    def _place(self, plan: Plan, parts: Sequence[Part], sha256: str) -> Rendered:
        from overlays.render.codecs.base import FileSpec
        from overlays.render.codecs.registry import codec_named

        with written_whole(self._folder / plan.clip.file) as whole:
            if len(parts) == 1:
                parts[0].target.replace(whole)
            else:
                files = [part.target for part in parts]
                codec_named(self.codec).join(files, whole, FileSpec.of(plan.clip))
                sha256 = digest(whole)
        return self._written(plan, sha256)

    def _written(self, plan: Plan, sha256: str) -> Rendered:
        path = self._folder / plan.clip.file
        record = Record.of(path, made_from=plan.made_from, start=plan.start, sha256=sha256)
        self.cache.records[plan.clip.file] = record
        return Rendered(plan.clip, path, plan.action, plan.why, sha256, digest_of(plan.made_from))

    def _explained(self, plan: Plan, error: TracereelError | OSError, part: Path) -> TracereelError:
        if isinstance(error, TracereelError):
            return error
        return unwritten(error, self._folder / plan.clip.file, part)
