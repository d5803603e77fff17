"""A look at every run as one page: it holds its pictures and its style, and loads nothing."""

from __future__ import annotations

import base64
from collections.abc import Iterator, Sequence
from importlib.resources import files

from overlays.model.plain_text import clean_text
from overlays.progress import Progress, silent
from overlays.turnover.look.paper import Paper
from overlays.turnover.look.plot import RUN_COLOURS, draw_plot, plot_height
from overlays.turnover.look.seen import SeenPlace, SeenRun
from overlays.turnover.look.shared import runs_named
from overlays.turnover.look.story import LEGEND, RULES, PlaceStory, Story, TestStory
from overlays.turnover.look.table import FigureRow, run_remark
from overlays.turnover.look.words import LEADS, Word
from overlays.turnover.markup import Html, joined, page, spaced, tag

__all__ = ["run_look_page"]

_WIDTH = 400
_CLASSES = {"flag": "warning", "left out": "error"}


def run_look_page(story: Story, *, progress: Progress = silent) -> str:
    """Write the page; the same story gives the same text.

    Parameters
    ----------
    story : Story
        What is told.
    progress : Progress
        Told after each picture.
    """
    total = sum(len(test.places) for test in story.tests)
    done = 0
    sections = []
    for test in story.tests:
        articles = []
        for told in test.places:
            articles.append(_article(story, told))
            done += 1
            progress(done, total, "pictures")
        sections.append(_section(story, test, articles))
    body = joined(_header(story), tag("main", _flags(story), _legend(), *sections))
    return page(f"Every run: {story.title}", body, style=_style())


def _style() -> str:
    folder = files("overlays.turnover")
    names = ("review.css", "run_look.css")
    colours = (f".c{index} {{ --run: {colour}; }}\n" for index, colour in enumerate(RUN_COLOURS))
    return "".join((*(folder.joinpath(n).read_text(encoding="utf-8") for n in names), *colours))


def _header(story: Story) -> Html:
    links = [("#flags", "Flags"), ("#legend", "How to read it")]
    tests = story.results.session.spec.tests
    links += [(f"#{test.view.test}", tests[test.view.test].label) for test in story.tests]
    items = (tag("li", tag("a", text, href=target)) for target, text in links)
    return tag(
        "header",
        tag("h1", f"Every run: {story.title}"),
        tag("p", story.where),
        tag("p", story.count, class_="quiet"),
        tag("nav", tag("ul", *items)),
    )


def _flags(story: Story) -> Html:
    items = [
        tag(
            "li",
            tag("a", story.name_of(place), href=f"#{place.anchor}"),
            tag("ul", *(tag("li", *_word(Word("flag", text))) for text in texts), class_="words"),
        )
        for place, texts in story.flags()
    ]
    if items:
        content = tag("ul", *items, class_="plain")
    else:
        content = tag("p", "Nothing is flagged. Look at the pictures all the same.", class_="good")
    return tag("section", tag("h2", "Look at these first"), content, id="flags")


def _legend() -> Html:
    items = (
        tag("li", spaced(tag("span", class_=f"swatch {kind.replace(' ', '-')}"), text))
        for kind, text in LEGEND
    )
    return tag(
        "section",
        tag("h2", "How to read it"),
        tag("ul", *items, class_="legend"),
        tag("p", RULES),
        id="legend",
    )


def _section(story: Story, test: TestStory, articles: Sequence[Html]) -> Html:
    key = test.view.test
    label = story.results.session.spec.tests[key].label
    return tag(
        "section",
        tag("h2", spaced(label, tag("span", f"({key})", class_="quiet"))),
        *(tag("p", line, class_="quiet small") for line in test.lines),
        *articles,
        id=key,
    )


def _article(story: Story, told: PlaceStory) -> Html:
    place = told.place
    label = story.results.session.spec.entries[place.entry].label
    title = spaced(label, tag("span", f"· {story.state_of(place)}", class_="quiet"))
    parts: list[Html] = []
    if place.runs:
        parts.append(tag("figure", _picture(story, told)))
    table = [_table(place, told.rows)] if place.runs and told.rows else []
    words = tag("ul", *(tag("li", *_word(word)) for word in told.words), class_="plain words")
    parts.append(tag("div", *table, words))
    return tag("article", tag("h3", title), tag("div", *parts, class_="place"), id=place.anchor)


def _picture(story: Story, told: PlaceStory) -> Html:
    height = plot_height(told.view, _WIDTH)
    paper = Paper(_WIDTH, height)
    mark = story.results.session.spec.episode.decimal_mark
    draw_plot(paper, told.view, told.place, left=0, top=0, width=_WIDTH, decimal_mark=mark)
    data = base64.b64encode(paper.svg()).decode("ascii")
    return tag(
        "img",
        src=f"data:image/svg+xml;base64,{data}",
        width=_WIDTH,
        height=height,
        alt=_in_words(story, told),
    )


def _in_words(story: Story, told: PlaceStory) -> str:
    place = told.place
    channels = " and ".join(channel.label for channel in told.view.channels)
    text = f"{story.name_of(place)}: {channels} over time, {runs_named(place.runs)}"
    median = [seen for seen in place.runs if seen.median]
    left_out = [seen for seen in place.runs if not seen.ref.use]
    text += f"; {runs_named(median)} in bold, the median" if median else ""
    text += f"; {runs_named(left_out)} dashed, left out" if left_out else ""
    return clean_text(f"{text}.")


def _table(place: SeenPlace, rows: Sequence[FigureRow]) -> Html:
    heads = [tag("th", "Figure"), *(_run_head(seen) for seen in place.runs)]
    heads.append(tag("th", "Spread", class_="number"))
    body = (tag("tr", *_cells(place, row), class_="main" if row.main else "") for row in rows)
    table = tag("table", tag("thead", tag("tr", *heads)), tag("tbody", *body))
    return tag("div", table, class_="scroll")


def _run_head(seen: SeenRun) -> Html:
    remark = run_remark(seen)
    kinds = ["number", "run", f"c{(seen.ref.repeat - 1) % len(RUN_COLOURS)}"]
    kinds += [remark.replace(" ", "-")] if remark else []
    stroke = tag("span", class_="stroke")
    return tag("th", stroke, seen.name, tag("small", remark), class_=" ".join(kinds))


def _cells(place: SeenPlace, row: FigureRow) -> Iterator[Html]:
    yield tag("th", spaced(row.label, tag("span", row.unit, class_="quiet unit")), scope="row")
    for seen, cell in zip(place.runs, row.cells, strict=True):
        kind = " median" if seen.median else ""
        yield tag("td", cell, class_=f"number{kind}")
    yield tag("td", row.spread, class_="number")


def _word(word: Word) -> tuple[Html, Html]:
    kind = _CLASSES.get(word.kind, "quiet")
    return tag("span", LEADS[word.kind], class_=f"lead {kind}"), tag("span", word.text)
