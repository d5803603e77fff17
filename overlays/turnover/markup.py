"""HTML that is safe by construction: whatever is not marked as HTML is escaped.

A page made here holds no script and loads nothing.
"""

from __future__ import annotations

import html
from collections.abc import Collection, Iterator, Sequence

from overlays.model.plain_text import clean_text

__all__ = ["Html", "joined", "page", "spaced", "table", "tag"]

_VOID = frozenset(("img", "meta", "br", "hr"))
# The page may show the pictures and the style it carries, and nothing else (W3C, Content Security
# Policy Level 3): should markup ever slip through, it has nothing to reach for.
_POLICY = "default-src 'none'; img-src data:; style-src 'unsafe-inline'"


class Html(str):
    """Text that is HTML already."""

    __slots__ = ()


def _html(text: str) -> str:
    return text if isinstance(text, Html) else html.escape(clean_text(text))


def tag(name: str, /, *children: str, **attributes: str | int) -> Html:
    """Write an element.

    Parameters
    ----------
    name : str
        Such as ``"p"``.
    *children : str
        `Html` as it is, other text made plain and escaped.
    **attributes : str or int
        A trailing underscore is taken off (``class_``), others become hyphens.

    Examples
    --------
    >>> tag("p", "1 < 2", tag("b", "yes"), class_="sum")
    '<p class="sum">1 &lt; 2<b>yes</b></p>'
    """
    written = "".join(
        f' {key.rstrip("_").replace("_", "-")}="{html.escape(clean_text(str(value)))}"'
        for key, value in attributes.items()
    )
    if name in _VOID:
        return Html(f"<{name}{written}>")
    return Html(f"<{name}{written}>{''.join(map(_html, children))}</{name}>")


def joined(*parts: str) -> Html:
    """Put elements one after the other."""
    return Html("".join(map(_html, parts)))


def spaced(*parts: str) -> Html:
    """Put texts and elements one after the other with a space between, empty ones left out."""
    return Html(" ".join(text for part in parts if (text := _html(part))))


def table(
    heads: Sequence[str],
    rows: Sequence[Sequence[str]],
    *,
    numbers: Collection[int] = (),
    stacked: bool = False,
) -> Html:
    """Write a table that scrolls by itself where the page is too narrow for it.

    Parameters
    ----------
    heads : sequence of str
        Over the columns.
    rows : sequence of sequence of str
        `Html` as it is, other text escaped.
    numbers : collection of int
        The columns, from 0, that are set to the right.
    stacked : bool
        On a phone, each row becomes a paragraph instead.
    """

    def cells(name: str, texts: Sequence[str]) -> Iterator[Html]:
        for index, text in enumerate(texts):
            kind = {"class_": "number"} if index in numbers else {}
            yield tag(name, text, **kind)

    body = [tag("tr", *cells("td", row)) for row in rows]
    head = tag("thead", tag("tr", *cells("th", heads)))
    kind = {"class_": "stacked"} if stacked else {}
    return tag("div", tag("table", head, tag("tbody", *body), **kind), class_="scroll")


def page(title: str, body: Html, *, style: str) -> str:
    """Write a whole page: UTF-8, for every width, holding its own style.

    Parameters
    ----------
    title : str
        For the window.
    body : Html
        Everything below.
    style : str
        CSS of our own; never text from a session.
    """
    head = joined(
        tag("meta", charset="utf-8"),
        tag("meta", http_equiv="Content-Security-Policy", content=_POLICY),
        tag("meta", name="viewport", content="width=device-width, initial-scale=1"),
        tag("title", title),
        tag("style", Html(style)),
    )
    return f"<!DOCTYPE html>\n{tag('html', tag('head', head), tag('body', body), lang='en')}\n"
