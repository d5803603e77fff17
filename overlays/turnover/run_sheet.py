"""The run sheet on paper: as text for a terminal, as CSV, as a page to print and tick off."""

from __future__ import annotations

from collections.abc import Iterator
from importlib.resources import files
from itertools import groupby

from overlays.model.plain_text import clean_text
from overlays.model.session import SessionSpec, TestSpec
from overlays.numbers import counted
from overlays.scoring.layout import Table, render
from overlays.scoring.run_sheet import RunBlock, RunSheet, RunToDo
from overlays.turnover.markup import Html, joined, page, spaced, tag

__all__ = ["run_sheet_csv", "run_sheet_html", "run_sheet_text"]

_CAUTION = (
    "A bench can injure. Follow the makers' instructions and the local codes that apply to you, "
    "and leave licensed work to those who hold the licence."
)
_LINES = ("Date and place", "Run by", "At the start: supply, temperatures")
_NOTE_LINES = 2


def run_sheet_text(sheet: RunSheet) -> str:
    """Write a run sheet for a terminal or a plain printer; ends with a line end."""
    spec = sheet.session.spec
    blocks = [
        [
            f"Run sheet: {clean_text(spec.episode.title)}",
            clean_text(spec.episode.where),
            _state(sheet),
        ],
        ["Cautions", *(f"- {text}" for text in _cautions(spec))],
        *([[_order(sheet)]] if sheet.blocks else []),
    ]
    for test, block in _by_test(sheet):
        heading = f"{clean_text(spec.tests[test].label)} ({test})"
        table = render(_text_table(sheet, block), "table").rstrip("\n")
        blocks.append([heading, *_hints(spec.tests[test]), table])
    return "\n\n".join("\n".join(block) for block in blocks) + "\n"


def run_sheet_csv(sheet: RunSheet) -> str:
    r"""Write a run sheet as CSV: RFC 4180 with ``\n``, a header and one row a run.

    ``done`` and ``note`` are left to be filled in; ``file`` is empty where the session names the
    logs in runs.csv.
    """
    columns = ("place", "test", "block", "entry", "repeat", "file", "done", "note")
    numeric = (True, False, True, False, True, False, False, False)
    rows = tuple(
        (str(place), run.test, str(block.number), run.entry, str(run.repeat), run.file, "", "")
        for place, block, run in _placed(sheet)
    )
    return render(Table(columns, numeric, rows), "csv")


def run_sheet_html(sheet: RunSheet) -> str:
    """Write a run sheet as a page to print: tick boxes, room for notes, cautions on top.

    The page holds its style and loads nothing.
    """
    spec = sheet.session.spec
    cautions = tag("ul", *(tag("li", text) for text in _cautions(spec)))
    body = joined(
        tag(
            "header",
            tag("h1", f"Run sheet: {spec.episode.title}"),
            tag("p", spec.episode.where, class_="quiet"),
        ),
        tag("section", tag("h2", "Cautions"), cautions, class_="cautions"),
        tag("p", tag("b", _state(sheet))),
        *([tag("p", _order(sheet)), _blanks(_LINES)] if sheet.blocks else []),
        *(_section(sheet, test, blocks) for test, blocks in _by_test(sheet)),
    )
    folder = files("overlays.turnover")
    style = "".join(
        folder.joinpath(name).read_text(encoding="utf-8")
        for name in ("review.css", "run_sheet.css")
    )
    return page(f"Run sheet: {clean_text(spec.episode.title)}", body, style=style)


def _all(planned: int) -> str:
    return "the one planned run is" if planned == 1 else f"all {planned} planned runs are"


def _state(sheet: RunSheet) -> str:
    left = sheet.planned - sheet.used
    if left == 0:
        start = f"Nothing is left to be run: {_all(sheet.planned)} there and used."
    else:
        start = f"Still to be run: {left} of {counted(sheet.planned, 'planned run')}."
    return (
        f"{start} The whole plan is listed, runs made already among it." if sheet.whole else start
    )


def _order(sheet: RunSheet) -> str:
    return (
        "Run in this order. A block takes every entry that needs the test once, shuffled, so that "
        "a bench warming up or a battery running down favours no entry; an entry alone in its "
        f"block has nothing beside it to compare with. Seed {sheet.seed} gives this order again."
    )


def _cautions(spec: SessionSpec) -> Iterator[str]:
    yield from map(clean_text, spec.episode.cautions)
    yield _CAUTION


def _hints(test: TestSpec) -> Iterator[str]:
    if test.caution:
        yield f"Caution: {clean_text(test.caution)}"
    if test.method:
        yield f"Method: {clean_text(test.method)}"
    if test.counts:
        yield f"Counts: {clean_text(test.counts)}."
    yield _logging(test)


def _logging(test: TestSpec) -> str:
    """Say from when to when the logger has to run for the zero windows and the test's length."""
    zero = test.zero
    before_s = max(0.0, -zero.start.to("s")) if zero else 0.0
    after_s = test.length.to("s")
    if zero is not None and zero.after_end is not None:
        after_s = max(after_s, zero.after_end.to("s"))
    if test.trigger is None:
        return f"Start the logger with the test: its first sample is time 0. Log for {after_s:g} s."
    lead = f"at least {before_s:g} s" if before_s else "a little"
    return f"Start the logger {lead} before the test, and let it run for {after_s:g} s after."


def _by_test(sheet: RunSheet) -> Iterator[tuple[str, tuple[RunBlock, ...]]]:
    for test, blocks in groupby(sheet.blocks, key=lambda block: block.test):
        yield test, tuple(blocks)


def _placed(sheet: RunSheet) -> Iterator[tuple[int, RunBlock, RunToDo]]:
    """Yield every run with its place in the order, from 1, and its block."""
    place = 0
    for block in sheet.blocks:
        for run in block.runs:
            place += 1
            yield place, block, run


def _entry(sheet: RunSheet, run: RunToDo) -> str:
    name = clean_text(sheet.session.spec.entries[run.entry].label)
    return name if name.casefold() == run.entry else f"{name} ({run.entry})"


def _text_table(sheet: RunSheet, blocks: tuple[RunBlock, ...]) -> Table:
    with_files = any(run.file for block in blocks for run in block.runs)
    rows = tuple(
        ("[ ]", str(place), str(block.number), _entry(sheet, run), str(run.repeat))
        + ((clean_text(run.file),) if with_files else ())
        for place, block, run in _placed(sheet)
        if block.test == blocks[0].test
    )
    columns = ("", "place", "block", "entry", "run", *(("log",) if with_files else ()))
    numeric = (False, True, True, False, True, *((False,) if with_files else ()))
    return Table(columns, numeric, rows)


def _blanks(labels: tuple[str, ...]) -> Html:
    lines = (tag("p", spaced(text, tag("span", class_="line"))) for text in labels)
    return tag("div", *lines, class_="blanks")


def _section(sheet: RunSheet, test: str, blocks: tuple[RunBlock, ...]) -> Html:
    spec = sheet.session.spec.tests[test]
    heads = ("Done", "Place", "Entry", "Run", "Notes")
    bodies = [
        tag(
            "tbody",
            tag("tr", tag("th", f"Block {block.number}", colspan=len(heads)), class_="block"),
            *(_row(sheet, place, run) for place, of, run in _placed(sheet) if of is block),
        )
        for block in blocks
    ]
    return tag(
        "section",
        tag("h2", spaced(spec.label, tag("span", f"({test})", class_="quiet"))),
        *(tag("p", text) for text in _hints(spec)),
        tag("table", tag("thead", tag("tr", *(tag("th", text) for text in heads))), *bodies),
        _blanks(("Notes", *[""] * (_NOTE_LINES - 1))),
    )


def _row(sheet: RunSheet, place: int, run: RunToDo) -> Html:
    log = [tag("div", run.file, class_="quiet")] if run.file else []
    return tag(
        "tr",
        tag("td", tag("span", class_="box"), class_="done"),
        tag("td", str(place), class_="place"),
        tag("td", tag("b", _entry(sheet, run)), *log, class_="entry"),
        tag("td", str(run.repeat), class_="run"),
        tag("td", class_="notes"),
    )
