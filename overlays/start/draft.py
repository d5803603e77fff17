"""The texts of a first session: session.toml, runs.csv and outline.md."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from overlays.errors import UnitError
from overlays.start.found import FoundRun, key_from_words
from overlays.units import symbol

__all__ = ["Draft", "drafted", "outline_text", "runs_text", "session_text"]

_LOGS = "logs"
_LEAST_CUE_S, _MOST_CUE_S = 7.0, 9.0
_COLUMN_S = 2.0  # for reading a column of points
_NO_UNIT = "1"
_CAUTION = (
    "A bench can hurt: guard what moves, switch off before you reach in, and follow the local "
    "codes that apply."
)


@dataclass(frozen=True, slots=True)
class Draft:
    """What there is to write about: keys by the words they stand for.

    Parameters
    ----------
    runs : sequence of FoundRun
        Every run.
    entries, tests, columns : mapping of str to str
        Key by word, in the order in which the runs bring them.
    units : mapping of str to str or None
        Unit by column; None where no log gives one that is known.
    tested : mapping of str to list of str
        Columns by test.
    """

    runs: Sequence[FoundRun]
    entries: Mapping[str, str]
    tests: Mapping[str, str]
    columns: Mapping[str, str]
    units: Mapping[str, str | None]
    tested: Mapping[str, list[str]]


def drafted(runs: Sequence[FoundRun]) -> Draft:
    """Sort out what runs bring: entries, tests, channels and their units."""
    entries: dict[str, str] = {}
    tests: dict[str, str] = {}
    columns: dict[str, str] = {}
    units: dict[str, str | None] = {}
    tested: dict[str, list[str]] = {}
    for run in runs:
        for word, keys in ((run.entry, entries), (run.test, tests)):
            if word not in keys:
                keys[word] = key_from_words(word, taken=keys.values())
        for channel in run.channels:
            if channel.column not in columns:
                columns[channel.column] = key_from_words(channel.column, taken=columns.values())
            units[channel.column] = units.get(channel.column) or _known(channel.unit)
            in_test = tested.setdefault(run.test, [])
            if channel.column not in in_test:
                in_test.append(channel.column)
    return Draft(runs, entries, tests, columns, units, tested)


def _known(unit: str | None) -> str | None:
    """Return a unit that the session's reader will take, None where it is none."""
    if not unit:
        return None
    try:
        symbol(unit)
    except UnitError:
        return None
    return unit


def session_text(draft: Draft, title: str, *, today: date) -> str:
    """Write session.toml: what is known filled in, what is guessed marked as such."""
    head = (
        "# What was tested, how, and what counts. Every guess is marked; put it right.\n\n"
        f"[episode]\ntitle = {_text(title)}\ndate = {today.isoformat()}\n"
        f"cautions = [{_text(_CAUTION)}]\n"
    )
    parts = [head]
    parts += [f"[entries.{key}]\nname = {_text(word)}\n" for word, key in draft.entries.items()]
    parts += [_channel(draft, column, key) for column, key in draft.columns.items()]
    parts += [_test(draft, test, key) for test, key in draft.tests.items()]
    parts += [_figure(draft, test, key) for test, key in draft.tests.items()]
    parts += [_points(test, key, len(draft.tests)) for test, key in draft.tests.items()]
    return "\n".join(parts)


def _channel(draft: Draft, column: str, key: str) -> str:
    unit = draft.units[column]
    remark = "" if unit else "  # a guess: no log gives a unit that is known"
    return (
        f"[channels.{key}]\nlabel = {_text(column)}\ncolumn = {_text(column)}\n"
        f"unit = {_text(unit or _NO_UNIT)}{remark}\n"
    )


def _length_s(draft: Draft, test: str) -> float:
    """Return the shortest run's length, cut to a tenth of a second."""
    shortest = min(run.seconds for run in draft.runs if run.test == test)
    return int(shortest * 10) / 10 or round(shortest, 3)


def _test(draft: Draft, test: str, key: str) -> str:
    repeats = max(
        sum(run.test == test and run.entry == entry for run in draft.runs)
        for entry in draft.entries
    )
    channels = ", ".join(_text(draft.columns[column]) for column in draft.tested[test])
    return (
        f"[tests.{key}]\nlabel = {_text(test)}\n"
        f'length = "{_length_s(draft, test):g} s"  # a guess: that of the shortest log\n'
        f"repeats = {repeats}\nchannels = [{channels}]\nmain = {_text(_figure_key(key))}\n"
        "# Without a trigger a run begins with its log. For example:\n"
        '# trigger = { channel = "…", level = "5 N", rearm = "2 N" }\n'
    )


def _figure_key(test_key: str) -> str:
    return f"{test_key}_mean"


def _figure(draft: Draft, test: str, key: str) -> str:
    column = draft.tested[test][0]
    return (
        f"[figures.{_figure_key(key)}]  # a guess: peak, at, time_to, area and more are there too\n"
        f"label = {_text(f'{test}, mean {column}')}\n"
        f'take = "mean"\ntest = {_text(key)}\nchannel = {_text(draft.columns[column])}\n'
        f'start = "0 s"\nend = "{_length_s(draft, test):g} s"\nbetter = "higher"\n'
    )


def _points(test: str, key: str, tests: int) -> str:
    most = max(1, 100 // tests)
    return (
        f"[points.{key}]  # a guess: the best gets them all, the others their share\n"
        f"label = {_text(test)}\nfigure = {_text(_figure_key(key))}\nmost = {most}\n"
    )


def runs_text(draft: Draft) -> str:
    """Write runs.csv: which run each log is."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(["entry", "test", "repeat", "file", "note", "use"])
    for run in draft.runs:
        entry, test = draft.entries[run.entry], draft.tests[run.test]
        writer.writerow([entry, test, run.repeat, f"{_LOGS}/{run.path.name}", "", "yes"])
    return out.getvalue()


def outline_text(draft: Draft, title: str) -> str:
    """Write outline.md: a beat for each test with its curves, one for the points."""
    parts = [f"# {_line(title)}\n"]
    for test, key in draft.tests.items():
        had = [word for word in draft.entries if _has(draft, word, test)]
        told = [f"{_line(word)} makes {{{draft.entries[word]} {_figure_key(key)}}}" for word in had]
        sentence = ", ".join(told) + "."
        seconds = min(_MOST_CUE_S, max(_LEAST_CUE_S, _length_s(draft, test)))
        keys = ", ".join(_text(draft.entries[word]) for word in had)
        parts.append(
            f'## {_line(test)}\n\n{sentence}\n\n```cue curves\ntest = "{key}"\n'
            f'entries = [{keys}]\npace = "fit"\nlength = "{seconds:g} s"\n```\n'
        )
    seconds = _COLUMN_S * (2 + len(draft.tests))
    parts.append(
        "## Points\n\nAnd this is what it comes to.\n\n```cue score_update\n"
        f'entry = {_text(next(iter(draft.entries.values())))}\nlength = "{seconds:g} s"\n```\n'
    )
    return "\n".join(parts)


def _has(draft: Draft, entry: str, test: str) -> bool:
    return any((run.entry, run.test) == (entry, test) for run in draft.runs)


def _text(words: str) -> str:
    """Write a TOML string: JSON's is one but for the character DEL."""
    return json.dumps(words, ensure_ascii=False).replace("\x7f", "\\u007f")


def _line(words: str) -> str:
    """Write words into Markdown so that none of them marks anything up."""
    return "".join(f"\\{sign}" if sign in r"\`*_{}[]<>#" else sign for sign in words)
