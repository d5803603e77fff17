"""What a cue hangs on, as written."""

from __future__ import annotations

import pytest

from overlays.errors import OutlineError, UnitError
from overlays.outline.anchors import DataEvent, Phrase, read_anchor
from overlays.outline.block import read_block
from overlays.units import Quantity


@pytest.mark.parametrize(
    ("text", "anchor"),
    [
        ("", None),
        ('when = "forty"', Phrase("forty")),
        ('when = "forty"\noccurrence = 2', Phrase("forty", 2)),
        ('event = "peak"', DataEvent("peak")),
        ('event = { what = "end", of = "all" }', DataEvent("end", "all")),
        ('event = { what = "crossing", entries = ["a", "b"] }',
         DataEvent("crossing", None, ("a", "b"))),
        ('event = { what = "level", level = "40 N*m" }',
         DataEvent("level", level=Quantity(40.0, "N*m", 0))),
    ],
)  # fmt: skip
def test_anchors_are_read(text: str, anchor: Phrase | DataEvent | None) -> None:
    """A phrase with its occurrence, or an event by its name or with particulars."""
    assert read_anchor(read_block("curves", text, line=1)) == anchor


@pytest.mark.parametrize(
    ("text", "code", "field"),
    [
        ('when = "a"\nevent = "peak"', "two-anchors", "event"),
        ("when = 3", "bad-anchor", "when"),
        ('when = "  "', "bad-anchor", "when"),
        (f'when = "{"x" * 201}"', "bad-anchor", "when"),
        ("occurrence = 2", "bad-anchor", "occurrence"),
        ('when = "a"\noccurrence = 0', "bad-anchor", "occurrence"),
        ('when = "a"\noccurrence = true', "bad-anchor", "occurrence"),
        ('event = "paek"', "bad-event", "event"),
        ("event = 3", "bad-event", "event"),
        ("event = { of = 'a' }", "bad-event", "event"),
        ("event = { what = 'peak', off = 'a' }", "bad-event", "event"),
        ("event = { what = 'peak', of = 3 }", "bad-event", "event"),
        ("event = { what = 'peak', entries = 'a' }", "bad-event", "event"),
        ("event = { what = 'crossing', entries = ['a'] }", "bad-event", "event"),
        ("event = { what = 'crossing', entries = ['a', 'a'] }", "bad-event", "event"),
        ("event = { what = 'level' }", "bad-event", "event"),
        ("event = { what = 'peak', level = '3 N*m' }", "bad-event", "event"),
    ],
)
def test_what_hangs_on_nothing_is_refused(text: str, code: str, field: str) -> None:
    """Two anchors, no words, unknown events and missing particulars are refused by field."""
    with pytest.raises(OutlineError) as caught:
        read_anchor(read_block("curves", text, line=1))
    assert (caught.value.code, caught.value.field) == (code, field)


def test_a_misspelt_event_is_guessed() -> None:
    """The nearest event is suggested, and an example shown."""
    with pytest.raises(OutlineError) as caught:
        read_anchor(read_block("curves", 'event = "crosing"', line=1))
    assert "'crossing'" in caught.value.remedy


def test_a_level_is_a_quantity() -> None:
    """A level without a known unit is refused."""
    with pytest.raises(UnitError):
        read_anchor(read_block("c", "event = { what = 'level', level = '3 zog' }", line=1))
