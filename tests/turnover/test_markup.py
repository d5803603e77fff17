"""HTML that is safe by construction."""

from __future__ import annotations

from html.parser import HTMLParser

from hypothesis import given
from hypothesis import strategies as st

from overlays.turnover.markup import Html, joined, page, spaced, tag


class _Reader(HTMLParser):
    """The standard library's parser: what elements there are, and their text."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.attributes: dict[str, str | None] = {}
        self.text = ""
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes.update(attrs)

    def handle_data(self, data: str) -> None:
        self.text += data


@given(st.text(max_size=60), st.text(max_size=60))
def test_no_text_becomes_an_element(text: str, attribute: str) -> None:
    """Whatever is in a text or an attribute, the page has the elements that were asked for."""
    read = _Reader(tag("p", text, tag("b", text), title=attribute))
    assert read.tags == ["p", "b"]
    assert list(read.attributes) == ["title"]


def test_text_is_read_back_as_written() -> None:
    """Signs that mean something in HTML come back as signs."""
    text = """1 < 2 & "3" > '2' </p><script>alert(1)</script>"""
    read = _Reader(tag("p", text, title=text))
    assert (read.text, read.attributes["title"], read.tags) == (text, text, ["p"])


def test_control_characters_are_gone() -> None:
    """Text is made plain before it is escaped."""
    assert tag("p", "a\x1b[31m\u202eb\x00") == "<p>ab</p>"


def test_parts_are_put_together() -> None:
    """Spaces stand only between parts that are there."""
    assert spaced("a", "", tag("b", "c")) == "a <b>c</b>"
    assert joined("<", Html("<br>")) == "&lt;<br>"
    assert tag("meta", charset="utf-8", http_equiv="x") == '<meta charset="utf-8" http-equiv="x">'


def test_a_page_forbids_itself_everything_else() -> None:
    """The policy allows the page's own style and pictures inside it, nothing from outside."""
    text = page("T & t", tag("p", "x"), style="p { margin: 0 }")
    read = _Reader(text)
    assert "script" not in read.tags
    assert read.tags.count("style") == 1
    assert "default-src 'none'" in text.replace("&#x27;", "'")
    assert text.startswith('<!DOCTYPE html>\n<html lang="en">')
