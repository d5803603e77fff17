"""Writing a turnover: everything the editor gets beside the clips."""

from __future__ import annotations

import shutil
from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path, PurePosixPath

from overlays.checks.findings import Finding
from overlays.errors import Problems, TurnoverError
from overlays.files import write_text_whole
from overlays.model.clip import CODECS
from overlays.model.filename import refuse_file_name
from overlays.plan import Episode, review_episode
from overlays.progress import Progress, silent
from overlays.render.batch import Rendered
from overlays.render.cache import digest
from overlays.render.frames import lay_out_clip
from overlays.scoring.tables import figures_text, standings_text
from overlays.turnover.captions import captions, descriptions, vtt_text
from overlays.turnover.chapters import beats_csv, chapters_text
from overlays.turnover.edl import edit_lists, edl_names
from overlays.turnover.kept_strips import KeptStrips
from overlays.turnover.kept_waivers import keep_waivers
from overlays.turnover.manifest import (
    CLIPS_FOLDER,
    MANIFEST_FILE,
    Manifest,
    make_manifest,
    read_manifest,
    write_manifest,
)
from overlays.turnover.numbered import Numbered, numbered_files
from overlays.turnover.programme import Programme, programme
from overlays.turnover.review import Review, review_page
from overlays.turnover.strip import Picture, frames_to_show, strip
from overlays.turnover.summary import summary_text
from overlays.turnover.timeline import timeline, timeline_text

__all__ = ["write_turnover"]


def write_turnover(
    folder: Path,
    episode: Episode,
    rendered: Sequence[Rendered],
    *,
    codec: str,
    problems: Problems,
    findings: Sequence[Finding] = (),
    strips: KeptStrips | None = None,
    progress: Progress = silent,
) -> Manifest:
    """Write timeline, edit lists, captions, chapters, tables, review page and manifest.

    Every file is written whole or not at all, the manifest last: what it lists is there. Clips
    that an earlier manifest lists and this one does not are removed; nothing else is touched.

    Parameters
    ----------
    folder : Path
        The turnover; its folder ``clips`` holds the rendered clips.
    episode : Episode
        What was measured, and the script.
    rendered : sequence of Rendered
        Its clips, as `overlays.render.clips.render_clips` returns them.
    codec : str
        They were encoded with.
    problems : Problems
        Receives warnings: captions too fast to read, gaps and overlaps, odd runs, numbers said that
        the data does not bear out. Those in it already go on the review page too.
    findings : sequence of Finding
        Of the checks, for the review page.
    strips : KeptStrips, optional
        The picture strips there are already; what the folder keeps by default.
    progress : Progress
        Told after every picture strip.

    Raises
    ------
    TurnoverError
        If a clip's file is missing.
    TimecodeError
        If the episode runs past 24 hours.
    WorkError
        If a file cannot be written.
    """
    session = episode.results.session
    made = make_manifest(session, rendered, codec=codec)
    span = programme(session, episode.outline, made)
    texts = _texts(episode, made, span, problems, _numbered(folder, made))
    kept = strips or KeptStrips(folder)
    pictures = _pictures(rendered, findings, kept, progress)
    said = review_episode(episode, problems)
    # The page tells of numbers with their sentences.
    told = tuple(p for p in problems.found if not p.code.startswith("number-"))
    review = Review(episode, made, span, pictures, tuple(findings), told, said)
    texts["review.html"] = review_page(review)
    former = _former(folder)
    for name, text in texts.items():
        write_text_whole(folder / name, text)
    kept.save()
    keep_waivers(folder, session.spec.waivers)
    write_manifest(made, folder / MANIFEST_FILE)
    _remove_outdated(folder, former, made)
    return made


def _pictures(
    rendered: Sequence[Rendered],
    findings: Sequence[Finding],
    kept: KeptStrips,
    progress: Progress,
) -> dict[str, tuple[Picture, ...]]:
    """Draw a strip for each clip, with the frames that findings are about among them."""
    result = {}
    for done, item in enumerate(rendered, start=1):
        clip = item.clip
        wanted = frames_to_show(clip, (f for f in findings if f.cue == clip.cue))
        pictures = kept.get(item, wanted)
        if pictures is None:
            pictures = strip(lay_out_clip(clip), wanted)
            kept.put(item, wanted, pictures)
        result[clip.cue] = pictures
        progress(done, len(rendered), "picture strips")
    return result


def _numbered(folder: Path, made: Manifest) -> dict[str, Numbered]:
    return {
        clip.cue: numbered_files(folder / clip.file)
        for clip in made.clips
        if not CODECS[clip.codec]
    }


def _texts(
    episode: Episode,
    made: Manifest,
    span: Programme,
    problems: Problems,
    numbered: dict[str, Numbered],
) -> dict[str, str]:
    """Return every text file of a turnover but the manifest, by name."""
    outline, results = episode.outline, episode.results
    pace = Fraction(str(results.session.spec.episode.speaking_rate.to("1/min")))
    chapters = chapters_text(outline, span)
    texts = {
        "timeline.otio": timeline_text(timeline(made, outline, span, numbered=numbered)),
        "captions.vtt": vtt_text(captions(outline, pace, problems), span),
        "descriptions.vtt": vtt_text(descriptions(made), span),
        "chapters.txt": chapters,
        "beats.csv": beats_csv(outline),
        "figures.csv": figures_text(results, "csv"),
        "standings.csv": standings_text(results, "csv"),
        "results.txt": summary_text(results, chapters),
    }
    return texts | dict(zip(edl_names(made), edit_lists(made, span.timebase), strict=True))


def _former(folder: Path) -> Manifest | None:
    """Return the manifest of an earlier turnover in the folder, if it can be read."""
    if not (folder / MANIFEST_FILE).exists():
        return None
    problems = Problems()
    with problems.collecting():
        return read_manifest(folder / MANIFEST_FILE)
    # A damaged manifest says nothing about what may be removed, and is about to be replaced.
    return None


def _remove_outdated(folder: Path, former: Manifest | None, made: Manifest) -> None:
    """Remove clips and edit lists that only an earlier turnover had."""
    kept = {clip.file.casefold() for clip in made.clips}
    for clip in former.clips if former else ():
        # The manifest on disk may be anybody's, and the file may have been worked on since.
        path = folder / clip.file
        ours = clip.file.casefold() not in kept and _is_ours(folder, clip.file)
        if ours and path.exists():
            _remove(path, only=clip.sha256)
    for name in set(edl_names(former) if former else ()) - set(edl_names(made)):
        if (folder / name).is_file():
            _remove(folder / name)


def _is_ours(folder: Path, file: str) -> bool:
    """Say whether a listed path lies directly in the folder of clips, and is no link out of it."""
    parts = PurePosixPath(file).parts
    path = folder / file
    return (
        len(parts) == 2
        and parts[0] == CLIPS_FOLDER
        and refuse_file_name(parts[1]) is None
        and not path.is_symlink()
        and not path.parent.is_symlink()
    )


def _remove(path: Path, *, only: str | None = None) -> None:
    """Remove a file or folder, with `only` one of that digest."""
    try:
        if only is not None and digest(path) != only:
            return
        if path.is_dir():
            shutil.rmtree(path)
        else:
            path.unlink()
    except OSError as error:
        raise TurnoverError(
            f"{path.name!r} of an earlier turnover cannot be removed: {error.strerror or error}.",
            code="cannot-remove",
            file=path.name,
            remedy="Close what has it open, or remove it by hand.",
        ) from error
