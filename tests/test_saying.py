"""What reaches a terminal: nothing that drives it, and errors nobody expected told as errors."""

from __future__ import annotations

import errno
import io
import json
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.errors import Problem, WorkError
from overlays.saying import json_text, last_resort, printable, say, tell

ACTING = "\x1b\x9b\u202e\u2066\x07\x00\ud800\ufeff"


@given(st.text())
def test_nothing_printed_drives_a_terminal(text: str) -> None:
    """No control but tab and line end, no override, no surrogate; and twice is as once."""
    shown = printable(text)
    assert not set(ACTING) & set(shown)
    assert all(sign >= " " or sign in "\t\n" for sign in shown)
    assert printable(shown) == shown
    shown.encode()


def test_tables_keep_their_tabs_and_lines() -> None:
    """What parts cells and rows stays where it is, in plain rows and in others."""
    assert printable("a\tb\n") == "a\tb\n"
    assert printable("é\tb\x1b[1m\r\nc\td\n") == "é\tb\nc\td\n"


@given(st.dictionaries(st.text(), st.text()))
def test_json_is_the_same_document_and_harmless(document: dict[str, str]) -> None:
    """Whatever could act is escaped, and a reader gets exactly what was meant."""
    text = json_text(dict(document))
    assert json.loads(text) == document
    assert not set(ACTING) & set(text)
    text.encode()


def test_problems_are_one_line_each(capsys: pytest.CaptureFixture[str]) -> None:
    """A line end or an escape in a name begins no line of its own."""
    tell([Problem("error", "x", "a\nb", 3, "found \x1b]0;title\x07it.", "Do\nthis.")])
    assert capsys.readouterr().err == "a b:3: error: found it. Do this.\n"
    tell([Problem("warning", "x", None, None, "it.", "")], err=False)
    say("plain", nl=False)
    assert capsys.readouterr().out == "warning: it.\nplain"


@pytest.mark.parametrize(
    ("error", "code", "message"),
    [
        (PermissionError(errno.EACCES, "Permission denied", "a.csv"), "system-error",
         "'a.csv': Permission denied."),
        (OSError(errno.EIO, "Input/output error"), "system-error", "Input/output error."),
        (OSError("odd"), "system-error", "OSError."),
        (MemoryError(), "out-of-memory", "memory ran out."),
    ],
)  # fmt: skip
def test_what_a_machine_does_to_any_program_is_one_error(
    error: Exception, code: str, message: str
) -> None:
    """A failing disk or no memory is told as everything else is; a program's own fault is not."""
    with pytest.raises(WorkError) as caught, last_resort():
        raise error
    assert (caught.value.code, caught.value.message) == (code, message)
    with pytest.raises(ZeroDivisionError), last_resort():
        raise ZeroDivisionError
    with pytest.raises(BrokenPipeError), last_resort():
        raise BrokenPipeError


def test_a_locale_without_a_letter_stops_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where output knows Western letters only, others are written as escapes."""
    stored = io.BytesIO()
    stream = io.TextIOWrapper(stored, encoding="latin-1", errors="strict")
    monkeypatch.setattr(sys, "stdout", stream)
    with last_resort():
        say("Öl 温度")
    stream.flush()
    assert stored.getvalue() == b"\xd6l \\u6e29\\u5ea6\n"
