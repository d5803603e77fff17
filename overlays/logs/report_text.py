"""What the reader made of one log, for people."""

from __future__ import annotations

from collections.abc import Iterator

from overlays.logs.report import log_report
from overlays.model.plain_text import clean_text
from overlays.model.trace import Log
from overlays.numbers import counted

__all__ = ["log_text"]


def log_text(log: Log, *, samples: bool) -> str:
    """Describe a log in lines of text; fields as `overlays.logs.report.log_report`."""
    return "\n".join(_lines(log, samples=samples))


def _lines(log: Log, *, samples: bool) -> Iterator[str]:
    report = log_report(log, samples=samples)
    yield f"{clean_text(report['file'])}: {report['layout']}"
    for name in ("encoding", "delimiter", "decimal", "header_line"):
        if report[name] is not None:
            value = report[name]
            yield (
                f"  {name.replace('_', ' ')}: {value!r}"
                if name == "delimiter"
                else (f"  {name.replace('_', ' ')}: {value}")
            )
    for column in report["columns"]:
        unit = f" [{clean_text(column['unit'])}]" if column["unit"] else ""
        span = (
            f", {column['min']:g} to {column['max']:g}, mean {column['mean']:g}"
            if column["n"]
            else ""
        )
        name = clean_text(column["name"])
        name = name if name.startswith("column ") else f"column {name}"
        yield f"  {name}{unit}: {counted(column['n'], 'value')}{span}"
    for segment in report["segments"]:
        rows = counted(segment["n"], "row")
        yield f"  from line {segment['first_line']}: {rows}, {segment['seconds']} s"
    for note in report["notes"]:
        place = f"line {note['line']}: " if note["line"] is not None else ""
        yield f"  note: {place}{clean_text(note['message'])}"
    if samples:
        columns = report["samples"]
        yield "\t".join(clean_text(name) for name in columns)
        for row in zip(*columns.values(), strict=True):
            yield "\t".join("" if value is None else str(value) for value in row)
