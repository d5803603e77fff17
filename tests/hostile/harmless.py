"""Whether what was written of a hostile session can act on whoever opens it."""

from __future__ import annotations

import csv
import html.parser
import io
import json
import re
import unicodedata
from collections.abc import Iterator
from pathlib import Path

import openpyxl

from overlays.model.filename import refuse_file_name

__all__ = ["harm_in", "harm_in_text"]

_WORDS = (
    "html head meta title style body header footer main section article nav h1 h2 h3 h4 h5 p "
    "div span table thead tbody tr th td ul ol li dl dt dd a img figure figcaption b strong "
    "em i small code pre blockquote br hr sub sup details summary time mark del ins s svg g "
    "path line rect text circle polyline polygon tspan title desc defs clippath use abbr "
    "colgroup col caption q "
)
_ELEMENTS = frozenset(re.findall(r"\w+", _WORDS))
_DIRECTIONS = ("LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI")


def harm_in(out: Path) -> Iterator[str]:
    """Yield everything in a folder that could act on a terminal, a page, a table or a system."""
    for path in sorted(out.rglob("*")):
        name = path.relative_to(out).as_posix()
        if path.is_symlink():
            continue  # came along; what was written through it is seen elsewhere
        if refuse_file_name(path.name) is not None:
            yield f"{name}: the name {refuse_file_name(path.name)}"
        if (
            path.suffix in (".html", ".csv", ".vtt", ".edl", ".txt", ".otio", ".json")
            and path.is_file()
        ):
            text = path.read_text(encoding="utf-8")
            yield from (f"{name}: {harm}" for harm in harm_in_text(path.suffix, text))
        elif path.suffix == ".xlsx":
            yield from (f"{name}: {harm}" for harm in _in_workbook(path))


def harm_in_text(ending: str, text: str) -> Iterator[str]:
    """Yield what could act in a text of that kind; a kind of its own is what a terminal gets."""
    if ending in (".otio", ".json"):
        json.loads(text)
        return  # escaped by the format
    for sign in sorted(set(text) - set("\n\r\t")):
        acts = unicodedata.category(sign) in ("Cc", "Cs")
        if acts or unicodedata.bidirectional(sign) in _DIRECTIONS:
            yield f"the sign U+{ord(sign):04X}"
    if ending == ".html":
        page = _Page()
        page.feed(text)
        yield from page.harm
    elif ending == ".csv":
        yield from _in_cells(text)
    elif ending == ".vtt":
        yield from _in_captions(text)
    elif ending == ".edl":
        yield from _in_edit_list(text)


class _Page(html.parser.HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.harm: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag not in _ELEMENTS:
            self.harm.append(f"the element {tag[:40]!r}")
        for key, value in attrs:
            reaches = key in ("src", "href", "xlink:href", "action", "data", "srcset")
            within = (value or "").startswith(("#", "data:image/"))
            if key.startswith("on") or (reaches and not within):
                self.harm.append(f"{tag} {key}={str(value)[:60]!r}")


def _in_cells(text: str) -> Iterator[str]:
    """Spreadsheets compute cells that begin so (OWASP, "CSV Injection"), but for numbers."""
    for row in csv.reader(io.StringIO(text, newline=""), strict=True):
        for cell in row:
            if cell.startswith(("=", "@", "+", "-", "\t", "\r")) and not _is_number(cell):
                yield f"the cell {cell[:60]!r}"


def _is_number(cell: str) -> bool:
    if cell == "-":  # what stands where there is no number
        return True
    try:
        float(cell)
    except ValueError:
        return False
    return True


def _in_captions(text: str) -> Iterator[str]:
    """W3C WebVTT, 4.1: after an empty line a cue's time, then its text, without a line of '-->'."""
    blocks = [block for block in text.split("\n\n")[1:] if block.strip()]
    for block in blocks:
        lines = block.strip("\n").split("\n")
        times = [line for line in lines if "-->" in line]
        if len(times) != 1 or lines.index(times[0]) > 1:
            yield f"the caption {block[:80]!r}"
        words = "\n".join(lines[lines.index(times[0]) + 1 :]) if times else ""
        if "<" in words:
            yield f"markup in the caption {words[:60]!r}"


def _in_edit_list(text: str) -> Iterator[str]:
    """CMX 3600: a heading, events, and comments behind an asterisk; nothing else."""
    for number, line in enumerate(text.split("\n")):
        known = not line or line.startswith(("TITLE: ", "FCM: ", "* ")) or line[:3].isdigit()
        if not known or (number and line.startswith("TITLE: ")) or len(line) > 1000:
            yield f"the line {line[:80]!r}"


def _in_workbook(path: Path) -> Iterator[str]:
    book = openpyxl.load_workbook(path)
    for sheet in book.worksheets:
        for row in sheet.iter_rows():
            for cell in row:
                if cell.data_type == "f" or cell.hyperlink is not None:
                    yield f"the cell {cell.coordinate} {str(cell.value)[:60]!r}"
