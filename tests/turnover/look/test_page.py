"""The page of all runs."""

from __future__ import annotations

import base64
import re
from dataclasses import replace
from html.parser import HTMLParser

import pytest

from overlays.turnover.look.page import run_look_page
from overlays.turnover.look.story import Story


@pytest.fixture(scope="module")
def text(story: Story) -> str:
    """Return the page of the three ropes."""
    return run_look_page(story)


class _Read(HTMLParser):
    """Collects what a page could load, where it leads, and elements left open."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.sources: list[str] = []
        self.links: list[str] = []
        self.ids: list[str] = []
        self.alts: list[str] = []
        self.open: list[str] = []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        for name, value in attrs:
            kinds = {"src": self.sources, "href": self.links, "id": self.ids, "alt": self.alts}
            if name in kinds:
                kinds[name].append(value or "")
        if tag not in ("meta", "img", "br", "hr"):
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag


def test_the_page_is_well_formed_and_loads_nothing(text: str) -> None:
    """Every picture is held in the page and itself loads nothing; every link leads somewhere."""
    read = _Read(text)
    assert read.open == []
    assert len(read.sources) == 3
    for source in read.sources:
        kind, _, data = source.partition(",")
        assert kind == "data:image/svg+xml;base64"
        inside = re.findall(
            r'(?:href|src)="([^"]*)"|url\(([^)]*)\)', base64.b64decode(data).decode()
        )
        assert all((one or two).startswith("#") for one, two in inside)
    assert {link.removeprefix("#") for link in read.links} <= set(read.ids)
    assert len(read.ids) == len(set(read.ids))
    assert "<script" not in text
    assert "@import" not in text
    assert "url(" not in text


def test_everything_told_is_on_the_page(story: Story, text: str) -> None:
    """Every figure of every run, every word, every line of a test."""
    plain = re.sub(r"<[^>]*>", "\x00", text)
    for test in story.tests:
        for line in test.lines:
            assert line.replace("'", "&#x27;") in plain
        for told in test.places:
            for row in told.rows if told.place.runs else ():
                assert all(f"\x00{cell}\x00" in plain for cell in row.cells)
            for word in told.words:
                written = word.text.replace("&", "&amp;").replace("'", "&#x27;")
                assert written.replace('"', "&quot;").replace(">", "&gt;") in plain


def test_flags_stand_at_the_top_and_lead_to_their_place(text: str) -> None:
    """In the section before the first picture, with a link to the place's own part."""
    top = text[: text.index("<img")]
    assert '<a href="#pull-sisal">Slow pull, Sisal</a>' in top
    assert "2 of 3 planned runs are used." in top
    assert text.count("2 of 3 planned runs are used.") == 2


def test_pictures_are_described_in_words(text: str) -> None:
    """Who does not see them learns which runs there are, which is bold and which dashed."""
    alts = _Read(text).alts
    assert alts[0].startswith("Slow pull, Hemp: pull and way over time, runs 1, 2 and 3; run ")
    assert "in bold, the median" in alts[0]
    assert alts[1].endswith("; run 3 dashed, left out.")


def test_what_a_session_says_is_shown_as_the_words_it_is(text: str) -> None:
    """Markup in a title is text."""
    assert "Three ropes &amp; &lt;b&gt;one&lt;/b&gt; hook" in text
    assert "<b>one</b>" not in text


def test_the_same_story_gives_the_same_page(story: Story, text: str) -> None:
    """Nothing on it depends on when or where it was made."""
    assert run_look_page(story) == text


def test_without_flags_the_page_says_so(story: Story) -> None:
    """And asks to look all the same."""
    test = story.tests[0]
    calm = replace(story, tests=(replace(test, places=test.places[:1]),))
    text = run_look_page(calm)
    assert "Nothing is flagged. Look at the pictures all the same." in text
    assert "no flags" in text
