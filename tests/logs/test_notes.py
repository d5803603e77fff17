from __future__ import annotations

from overlays.logs.notes import NoteBook


def test_assumptions_first_then_lines() -> None:
    """What was assumed comes first, then what happened, by line."""
    book = NoteBook()
    book.count("short lines", 9, "short")
    book.say("encoding utf-8")
    book.count("NUL lines", 4, "NUL")
    assert [(n.line, n.message) for n in book.written()] == [
        (None, "encoding utf-8"),
        (4, "NUL"),
        (9, "short"),
    ]


def test_many_are_counted() -> None:
    """After a few of a kind the rest is counted."""
    book = NoteBook()
    for line in range(1, 101):
        book.count("short lines", line, "short")
    written = book.written()
    assert len(written) == 9
    assert written[-1].message == "and 92 more short lines"


def test_one_more_is_one() -> None:
    """Of one thing more the singular is used."""
    book = NoteBook()
    for line in range(1, 10):
        book.count("cells that are no numbers", line, "has 'ERR'", column="v")
    assert book.written()[-1].message == "and 1 more cell that is no number"
    assert book.spoiled() == {"v"}
