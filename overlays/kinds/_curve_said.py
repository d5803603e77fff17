"""A curves overlay in words, for who cannot see it."""

from __future__ import annotations

from overlays.draw.curve import value_at
from overlays.kinds._curve_content import CurvesContent, Reading
from overlays.numbers import fixed

__all__ = ["said"]


def said(content: CurvesContent) -> str:
    """Say what is drawn, the values at the end, events, earlier runs and gaps."""
    unit = f" {content.unit}" if content.unit else ""
    ends = ", ".join(
        f"{line.name} {fixed(line.last, content.places)}{unit}" for line in content.lines
    )
    how = ", one after the other" if content.in_turn else ""
    sentences = [f"{content.title}: {'; '.join(content.caption)}", f"At the end{how}: {ends}"]
    if content.second is not None:
        other = content.second
        value = f"{fixed(other.line.last, other.places)} {other.unit}".rstrip()
        sentences.append(f"{other.line.label} at the end: {value}")
    if content.before:
        sentences.append(f"Behind, palely: {', '.join(run.label for run in content.before)}")
    for mark in (*content.marks, *content.reached):
        name = content.lines[mark.line].name
        sentences.append(f"{name}: {mark.number} {mark.unit}".rstrip() + f", {mark.note}")
    for gap in content.gaps:
        names = (content.lines[gap.first].name, content.lines[gap.second].name)
        size = fixed(gap.size(content.places), content.places)
        judged = f" ({gap.verdict})" if gap.verdict else ""
        sentences.append(
            f"At {gap.at_s:g} s {names[0]} and {names[1]} are {size}{unit} apart{judged}"
        )
    if content.pause is not None:
        sentences.append(
            f"The drawing pauses at {content.pause.at_s:g} s for {content.pause.hold_s:g} s"
        )
    if content.inset is not None:
        sentences.append(f"Shown larger: {content.inset[0]:g} s to {content.inset[1]:g} s")
    if content.reading is not None:
        sentences.append(_read_at(content, content.reading))
    if content.closer is not None:
        sentences.append(
            f"At last the axes close in on {content.closer[0]:g} s to {content.closer[1]:g} s"
        )
    return ". ".join(sentences) + "."


def _read_at(content: CurvesContent, reading: Reading) -> str:
    """Say what a crosshair reads where it comes to stand."""
    unit = f" {content.unit}" if content.unit else ""
    values = (
        (line.name, value_at(line.time_s, line.values, reading.end_s)) for line in content.lines
    )
    read = ", ".join(
        f"{name} {'no value' if value is None else fixed(value, content.places) + unit}"
        for name, value in values
    )
    goes = "" if reading.start_s == reading.end_s else f" goes from {reading.start_s:g} s and"
    return f"A crosshair{goes} reads at {reading.end_s:g} s: {read}"
