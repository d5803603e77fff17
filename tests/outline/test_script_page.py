"""The script to read aloud, as text and as a page."""

from __future__ import annotations

from html.parser import HTMLParser
from pathlib import Path

from overlays.outline.script_page import script_page, script_text
from tests.outline.bench import read

SCRIPT = """## Cold & wet

```beat
length = "12 s"
```

Alder makes {alder cold_mean}. <!-- smile -->

> look up

Dune costs {dune price}.

```cue curves
id = "all"
at = "1 s"
length = "9 s"
```

```cue lower_third
id = "late"
at = "11.5 s"
length = "0.5 s"
```
"""


class _Page(HTMLParser):
    """Collects what a page is made of."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.text: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag not in ("meta", "br"):
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.text.append(data)


def _page(text: str) -> _Page:
    page = _Page()
    page.feed(text)
    page.close()
    assert page.open == []
    return page


def test_the_text_is_what_is_read_aloud(tmp_path: Path) -> None:
    """Headings with times, units in words, no notes, no markup."""
    outline, _ = read(tmp_path, SCRIPT)
    assert script_text(outline) == (
        "Cold & wet  [00:00:00:00]\n\nAlder makes 86.4 newton metres.\n\nDune costs 12.00 euros.\n"
    )


def test_the_page_stands_by_itself(tmp_path: Path) -> None:
    """Every tag is closed, and nothing is loaded or run from anywhere."""
    outline, _ = read(tmp_path, SCRIPT)
    text = script_page(outline, title="Pads", cautions=("Stand clear.",))
    page = _page(text)
    assert {tag for tag, _ in page.tags}.isdisjoint({"script", "link", "img", "iframe", "object"})
    assert not [a for _, attrs in page.tags for a in attrs if a in ("src", "href") or a[:2] == "on"]
    assert "url(" not in text
    assert "@import" not in text
    assert "Stand clear." in page.text


def test_cues_stand_beside_the_sentence_they_come_with(tmp_path: Path) -> None:
    """Each cue is marked once, with its id, place and length, before the text it comes with."""
    outline, _ = read(tmp_path, SCRIPT)
    text = script_page(outline, title="Pads")
    words = "".join(_page(text[text.index("<h1>") : text.index("</body>")]).text)
    assert words.count("all") == words.count("late") == 1
    assert "00:00:01:00 · 9.0 s" in words
    assert words.index("all") < words.index("86.4 newton metres") < words.index("late")


def test_filled_in_numbers_are_marked(tmp_path: Path) -> None:
    """What comes from the data is underlined, so that the host knows what may change."""
    outline, _ = read(tmp_path, SCRIPT)
    assert "<mark>86.4 newton metres</mark>" in script_page(outline, title="Pads")


def test_markup_of_a_session_is_text(tmp_path: Path) -> None:
    """Whatever a heading, a sentence or the title holds, it is shown and not obeyed."""
    outline, _ = read(tmp_path, "## A <b>&amp;\nSay 1 &lt; 2 and `<script>alert(1)</script>`.\n")
    text = script_page(outline, title="<script>x</script>", cautions=("<i>hot</i>",))
    page = _page(text)
    assert "script" not in {tag for tag, _ in page.tags}
    assert "<script>alert(1)</script>" in "".join(page.text)
    assert "<i>hot</i>" in page.text
