"""The review page: one file to look through an episode before it is published.

It holds its pictures and its style, runs nothing and loads nothing; readable on a phone, printable.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from importlib.resources import files

from overlays.checks.findings import Finding
from overlays.errors import Problem
from overlays.model.outline import Beat
from overlays.model.plain_text import clean_text
from overlays.model.result import Figure
from overlays.numbers import counted, fixed, typeset
from overlays.outline.speech.findings import Finding as NumberFinding
from overlays.plan import Episode
from overlays.timecode import Timebase, s_from_frames
from overlays.turnover.manifest import Manifest, ManifestClip
from overlays.turnover.markup import Html, joined, page, spaced, table, tag
from overlays.turnover.programme import Programme
from overlays.turnover.review_voice import is_settled, number_item, numbers_said, times_found
from overlays.turnover.strip import Picture
from overlays.units import symbol

__all__ = ["Review", "review_page"]

_CAUTION = (
    "The flashing check counts flashes by published limits. It is an aid, no medical guarantee: "
    "where a picture may flash, have it tested by those licensed to."
)


@dataclass(frozen=True, slots=True, eq=False)
class Review:
    """Everything the page shows.

    Parameters
    ----------
    episode : Episode
        What was measured, and the script.
    manifest : Manifest
        The clips.
    span : Programme
        Where the episode begins and ends.
    pictures : Mapping[str, Sequence[Picture]]
        The picture strip of each cue.
    findings : sequence of Finding
        Of the checks; passes are left out on the page, but for those of flashing.
    problems : sequence of Problem
        Warnings met on the way.
    said : sequence of overlays.outline.speech.findings.Finding
        Every number typed into the script or heard in the recorded voice.
    """

    episode: Episode
    manifest: Manifest
    span: Programme
    pictures: Mapping[str, Sequence[Picture]]
    findings: Sequence[Finding] = ()
    problems: Sequence[Problem] = ()
    said: Sequence[NumberFinding] = ()

    @property
    def timebase(self) -> Timebase:
        """Of the episode."""
        return self.span.timebase

    def told(self, cue: str) -> list[Finding]:
        """Return what the checks have to say of a cue."""
        return [item for item in self.findings if item.cue == cue and item.verdict != "pass"]


def review_page(review: Review) -> str:
    """Write the page; the same review gives the same text."""
    spec = review.episode.results.session.spec.episode
    outline = review.episode.outline
    body = joined(
        _header(review),
        tag(
            "main",
            _findings(review),
            numbers_said(review.said, outline),
            _clips(review),
            _standings(review),
            times_found(outline, review.problems),
            _script(review),
        ),
        tag("footer", tag("p", _CAUTION), *(tag("p", text) for text in spec.cautions)),
    )
    style = files("overlays.turnover").joinpath("review.css").read_text(encoding="utf-8")
    return page(clean_text(spec.title), body, style=style)


def _header(review: Review) -> Html:
    spec = review.episode.results.session.spec.episode
    made = review.manifest
    span, timebase = review.span, review.timebase
    frames = span.end_frame - span.first_frame
    counting = "drop-frame" if timebase.drop else "non-drop"
    seconds = float(s_from_frames(frames, timebase.rate))
    what = (
        f"{made.canvas[0]}×{made.canvas[1]}, {made.rate} frames/s {counting}, "
        f"{counted(len(made.clips), 'clip')}, {seconds:.0f} s from "
        f"{timebase.label(span.first_frame)}"
    )
    links = [("#findings", "Findings"), ("#numbers", "Numbers said"), ("#clips", "Clips")]
    links += [("#standings", "Standings"), ("#times", "Times"), ("#script", "Script")]
    items = (tag("li", tag("a", text, href=target)) for target, text in links)
    return tag(
        "header",
        tag("h1", spec.title),
        tag("p", spec.where),
        tag("p", what, class_="quiet"),
        tag("nav", tag("ul", *items)),
    )


def _findings(review: Review) -> Html:
    outline = review.episode.outline
    told = [item for item in review.findings if item.verdict != "pass"]
    # What stops the episode comes first, then what viewers would notice first.
    items = [_finding(item) for item in told if item.stops]
    items += [number_item(found, outline) for found in review.said if not is_settled(found)]
    items += [_finding(item) for item in told if not item.stops]
    items += [_problem(problem) for problem in review.problems]
    if not items:
        content = tag("p", "Nothing was found.", class_="good")
    else:
        content = tag("ul", *(tag("li", item) for item in items), class_="plain")
    return tag("section", tag("h2", "Findings"), content, id="findings")


def _finding(item: Finding) -> Html:
    place = " ".join(filter(None, (item.cue, item.timecode)))
    if item.waived:
        verdict = tag("span", "waived", class_="waived")
        closing = f"Waived: {item.waived}"
    else:
        level = "error" if item.stops else "warning"
        verdict = tag("span", "fails" if item.stops else "caution", class_=level)
        closing = item.remedy
    return spaced(verdict, item.check, tag("b", place), item.message, closing)


def _problem(problem: Problem) -> Html:
    place = ":".join(str(part) for part in (problem.file, problem.line) if part)
    verdict = tag("span", problem.level, class_=problem.level)
    return spaced(verdict, tag("b", place), problem.message, problem.remedy)


def _clips(review: Review) -> Html:
    articles = (_clip(review, clip) for clip in review.manifest.clips)
    return tag("section", tag("h2", "Clips"), *articles, id="clips")


def _clip(review: Review, clip: ManifestClip) -> Html:
    told = review.told(clip.cue)
    parts = [
        tag("h3", spaced(clip.cue, tag("span", f"· {clip.kind}", class_="quiet"))),
        tag("p", clip.description),
        _strip(review, clip),
        _times(review, clip),
        _flashing(review, clip),
        _shown_figures(review, clip),
    ]
    if told:
        parts.append(tag("ul", *(tag("li", _finding(item)) for item in told), class_="plain"))
    return tag("article", *parts)


def _strip(review: Review, clip: ManifestClip) -> Html:
    figures = []
    for picture in review.pictures.get(clip.cue, ()):
        label = review.timebase.label(clip.first_frame + picture.frame)
        image = tag(
            "img",
            src=picture.url,
            width=picture.width,
            height=picture.height,
            alt=f"{clip.cue} at {label}",
        )
        caption = f"{label}, whole" if picture.whole else label
        kind = {"class_": "wide"} if picture.wide else {}
        figures.append(tag("figure", image, tag("figcaption", caption), **kind))
    return tag("div", *figures, class_="strip")


def _times(review: Review, clip: ManifestClip) -> Html:
    timebase = review.timebase
    length_s = float(s_from_frames(clip.cue_frames, timebase.rate))
    lead, tail = clip.handles
    rows = (
        ("In", timebase.label(clip.first_frame)),
        ("Out", f"{timebase.label(clip.end_frame)} ({clip.cue_frames} frames, {length_s:.2f} s)"),
        ("File", f"{clip.file} ({clip.frames} frames, handles {lead} and {tail}, {clip.codec})"),
        ("Beat", clip.beat),
    )
    return tag("dl", *(joined(tag("dt", name), tag("dd", value)) for name, value in rows))


def _flashing(review: Review, clip: ManifestClip) -> Html:
    """Say of every clip what was measured of its flashing: that it passes is told, too."""
    passed = (
        item.message
        for item in review.findings
        if (item.cue, item.check, item.verdict) == (clip.cue, "flashing", "pass")
    )
    return joined(*(tag("p", f"Flashing passes: {said}", class_="quiet") for said in passed))


def _shown_figures(review: Review, clip: ManifestClip) -> Html:
    results = review.episode.results
    rows = []
    for name in clip.figures:
        key, _, entry = name.partition(".")
        if (figure := results.figures.get((key, entry))) is not None:
            rows.append(_figure_row(review, figure))
    if not rows:
        return Html("")
    heads = ("Figure", "Entry", "Value", "n", "Spread")
    return table(heads, rows, numbers=(2, 3, 4))


def _figure_row(review: Review, figure: Figure) -> tuple[str, ...]:
    spec = review.episode.results.session.spec
    mark = spec.episode.decimal_mark
    label = spec.figures[figure.figure].label if figure.figure in spec.figures else figure.figure
    entry = spec.entries[figure.entry].label if figure.entry in spec.entries else figure.entry
    value = f"{typeset(figure.shown, decimal_mark=mark)} {symbol(figure.unit)}".strip()
    if figure.value is None:
        value = f"– {figure.why_missing}".strip()
    spread = "–"
    if figure.spread is not None:
        spread = typeset(fixed(figure.spread, figure.places), decimal_mark=mark)
    results = review.episode.results
    left_out = results.repeats.get((figure.entry, figure.test or ""))
    reasons = "; ".join(left_out.reasons()) if left_out else ""
    count = f"{figure.n or '–'}{reasons and f' ({reasons})'}"
    return label, entry, value, count, spread


def _standings(review: Review) -> Html:
    mark = review.episode.results.session.spec.episode.decimal_mark
    rows = []
    for standing in review.episode.results.standings:
        row = standing.row
        score = "–" if row.score is None else typeset(f"{row.score:f}", decimal_mark=mark)
        ranks = (row.rank, standing.previous_rank)
        now, before = ("–" if rank is None else str(rank) for rank in ranks)
        rows.append((now, row.name, score, before))
    if not rows:
        return Html("")
    listed = table(("Rank", "Entry", "Score", "Before"), rows, numbers=(0, 2, 3))
    return tag("section", tag("h2", "Standings"), listed, id="standings")


def _script(review: Review) -> Html:
    beats = (_beat(review, beat) for beat in review.episode.outline.beats)
    return tag("section", tag("h2", "Script"), *beats, id="script")


def _beat(review: Review, beat: Beat) -> Html:
    timebase = review.timebase
    end = timebase.label(beat.first_frame + beat.frames)
    times = f"{timebase.label(beat.first_frame)} to {end}, timed by {beat.timed_by}"
    paragraphs = (tag("p", text) for text in beat.narration.split("\n\n") if text.strip())
    cues = ", ".join(cue.cue for cue in beat.cues)
    return tag(
        "article",
        tag("h3", beat.title),
        tag("p", times, class_="quiet"),
        *paragraphs,
        *([tag("p", f"Cues: {cues}", class_="quiet")] if cues else []),
    )
