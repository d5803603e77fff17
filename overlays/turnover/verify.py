"""Proving a turnover: what is on disk against what it claims."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

from overlays.checks.findings import Finding, waive
from overlays.checks.findings import problems as problems_of
from overlays.errors import Problem, Problems, TurnoverError
from overlays.files import is_leftover
from overlays.model.plain_text import clean_text
from overlays.model.waiverspec import WaiverSpec
from overlays.progress import Progress, silent
from overlays.render.cache import digest
from overlays.turnover.agreement import LISTS, disagreements
from overlays.turnover.claims import REMEDY, claim_faults
from overlays.turnover.edl import edl_names
from overlays.turnover.kept_waivers import kept_waivers
from overlays.turnover.manifest import (
    CLIPS_FOLDER,
    MANIFEST_FILE,
    Manifest,
    ManifestClip,
    read_manifest,
)
from overlays.turnover.media import media_faults

__all__ = ["verify"]


def verify(folder: Path, problems: Problems, *, progress: Progress = silent) -> Manifest | None:
    """Hold a turnover to its manifest: the manifest to itself, then every clip, then every list.

    Every clip is read twice, for its hash and to be decoded to its end; its pictures are held to
    the limits of flashing, levels and safe areas on the way.

    Parameters
    ----------
    folder : Path
        The turnover.
    problems : Problems
        Receives an error for everything that is not as claimed or beyond a limit, and a warning
        for what the session waived and for every file that nobody claims.
    progress : Progress
        Told after every clip.

    Returns
    -------
    Manifest or None
        None where there is no manifest that can be read.
    """
    manifest = None
    with problems.collecting():
        manifest = read_manifest(folder / MANIFEST_FILE)
    if manifest is None:
        return None
    contradictions = tuple(claim_faults(manifest))
    for error in contradictions:
        problems.found.extend(error.problems())
    if contradictions:
        # Paths and labels of such a manifest lead nowhere, or elsewhere.
        return manifest
    waivers = kept_waivers(folder)
    for done, clip in enumerate(manifest.clips, start=1):
        with problems.collecting(file=clip.file):
            for fault in _clip_faults(folder, manifest, clip, waivers):
                problems.found.extend(fault)
        progress(done, len(manifest.clips), "clips verified")
    disagreements(folder, manifest, problems)
    _warn_of_strangers(folder, manifest, problems)
    return manifest


def _clip_faults(
    folder: Path, manifest: Manifest, clip: ManifestClip, waivers: Sequence[WaiverSpec]
) -> Iterator[tuple[Problem, ...]]:
    file = folder / clip.file
    if file.is_symlink() or (folder / CLIPS_FOLDER).is_symlink():
        yield _fault(clip, "it is a link, and may lead out of the folder", code="linked-clip")
        return
    if not file.exists():
        yield _fault(clip, "it is missing", code="missing-file")
        return
    if (odd := _no_plain_file(file)) is not None:
        yield _fault(clip, f"{odd!r} is no plain file", code="odd-file")
        return
    try:
        found = digest(file)
    except OSError as error:
        yield _fault(clip, f"it cannot be read: {error.strerror or error}", code="unreadable-clip")
        return
    if found != clip.sha256:
        what = f"its SHA-256 is {found[:12]}…, the manifest says {clip.sha256[:12]}…"
        yield _fault(clip, what, code="hash-differs")
    yield from _shown(media_faults(file, clip, manifest.timebase), clip, waivers)


def _shown(
    told: Iterable[str | Finding], clip: ManifestClip, waivers: Sequence[WaiverSpec]
) -> Iterator[tuple[Problem, ...]]:
    """Tell what differs from the manifest, and what fails in the pictures themselves."""
    for what in told:
        if isinstance(what, str):
            yield _fault(clip, what, code="clip-differs")
        else:
            yield problems_of(waive([what], waivers), file=clip.file)


def _no_plain_file(file: Path) -> str | None:
    """Return the name of a pipe, device, link or folder where there should be a file."""
    parts = sorted(file.iterdir()) if file.is_dir() else [file]
    odd = (part for part in parts if part.is_symlink() or not part.is_file())
    return next((part.name for part in odd), None)


def _fault(clip: ManifestClip, what: str, *, code: str) -> tuple[Problem, ...]:
    message = f"{clean_text(what).rstrip('.')}."
    return TurnoverError(message, code=code, file=clip.file, remedy=REMEDY).problems()


def _warn_of_strangers(folder: Path, manifest: Manifest, problems: Problems) -> None:
    known = {MANIFEST_FILE, CLIPS_FOLDER, *LISTS, *edl_names(manifest)}
    clips = {clip.file for clip in manifest.clips}
    for path in sorted(folder.iterdir()):
        if path.name not in known:
            _warn_of(path.name, problems)
    if (folder / CLIPS_FOLDER).is_dir():
        for path in sorted((folder / CLIPS_FOLDER).iterdir()):
            if f"{CLIPS_FOLDER}/{path.name}" not in clips:
                _warn_of(f"{CLIPS_FOLDER}/{path.name}", problems)


def _warn_of(file: str, problems: Problems) -> None:
    name = file.rpartition("/")[2]
    if is_leftover(name):
        problems.warn(
            "leftover",
            "a writer that was stopped left this behind.",
            file=file,
            remedy="The next 'episode' into this folder removes it.",
        )
    elif not name.startswith("."):  # what systems keep in folders is nobody's concern
        problems.warn(
            "unknown-file",
            "the manifest does not know this file.",
            file=clean_text(file),
            remedy="Remove it if it is no longer wanted.",
        )
