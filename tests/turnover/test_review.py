"""The review page."""

from __future__ import annotations

import re
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

from overlays.checks.findings import Finding
from overlays.errors import Problem
from overlays.timecode import Timebase
from overlays.turnover.programme import programme
from overlays.turnover.review import Review, review_page
from overlays.turnover.strip import Picture
from tests.turnover.building import ALL_TIMEBASES, NON_DROP_25, episode, listed, manifest

START = 10 * 3600 * 25
PICTURE = Picture(0, False, "data:image/webp;base64,AAAA", 64, 48)


def _review(folder: Path, timebase: Timebase = NON_DROP_25) -> Review:
    made = episode(folder, timebase)
    start = timebase.frame("10:00:00:00", either_mark=True)
    figures = ("most.brook", "most.weir")
    clips = manifest(timebase, listed("first", start + 20, 40, timebase, figures=figures))
    span = programme(made.results.session, made.outline, clips)
    return Review(made, clips, span, {"first": (PICTURE,)})


class _Links(HTMLParser):
    """Collects everything a page could load, and the elements left open."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.urls: list[str] = []
        self.ids: set[str] = set()
        self.open: list[str] = []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.urls += [value or "" for name, value in attrs if name in ("src", "href", "srcset")]
        self.ids |= {value or "" for name, value in attrs if name == "id"}
        if tag not in ("meta", "img", "br", "hr"):
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag


def test_the_page_loads_nothing_and_is_well_formed(tmp_path: Path) -> None:
    """Every reference is a data URL or a place on the page; every element is closed in turn."""
    text = review_page(_review(tmp_path))
    read = _Links(text)
    assert read.open == []
    for url in read.urls:
        assert url.startswith("data:image/webp;base64,") or url.removeprefix("#") in read.ids
    assert "url(" not in text
    assert "@import" not in text
    assert "http" not in re.sub(r'http-equiv="', "", text)


def test_a_clip_is_shown_with_times_and_figures(tmp_path: Path) -> None:
    """In and out, frames, handles, and each figure with its repeats and spread."""
    text = review_page(_review(tmp_path, ALL_TIMEBASES[4]))
    for words in (
        "10:00:00;20", "10:00:02;00 (40 frames, 1.33 s)", "handles 12 and 8", "clips/first.mov",
        "most flow", "12.5 l/min", "1.1", "– no run of Open", "Flow of first.", "30000/1001",
    ):  # fmt: skip
        assert words in text, words


def test_the_script_and_standings_are_shown_and_escaped(tmp_path: Path) -> None:
    """Narration with markup in it is shown as the words it is."""
    text = review_page(_review(tmp_path))
    assert "&lt;b&gt;Never&lt;/b&gt; &amp; not once." in text
    assert "Old &amp; &lt;b&gt;" in text
    assert "10:00:00:00 to 10:00:04:20, timed by written" in text


def test_findings_are_told_at_the_top_and_at_their_clip(tmp_path: Path) -> None:
    """What fails, what is waived and why, and warnings with their place; passes are not."""
    review = replace(
        _review(tmp_path),
        findings=(
            Finding("contrast", "fail", "Too faint.", "Darken it.", cue="first", frame=3),
            Finding("safe-area", "fail", "Outside.", "Move.", cue="first", waived="a joke"),
            Finding("levels", "pass", "All well.", cue="first"),
            Finding("flashing", "pass", "at most 2 flashes.", cue="first"),
            Finding("flashing", "pass", "at most 3 flashes.", cue="second"),
        ),
        problems=(Problem("warning", "odd", "outline.md", 7, "Odd.", "Look."),),
    )
    text = review_page(review)
    assert text.count("Too faint.") == 2
    assert "Waived: a joke" in text
    assert "All well." not in text
    assert text.count("Flashing passes: at most 2 flashes.") == 1
    assert "at most 3" not in text
    assert "outline.md:7" in text
    assert "Nothing was found." in review_page(_review(tmp_path))


def test_cautions_stand_at_the_foot(tmp_path: Path) -> None:
    """The flashing check's caution, and those of the session."""
    text = review_page(_review(tmp_path))
    assert "no medical guarantee" in text
    assert "Water and mains do not mix." in text
