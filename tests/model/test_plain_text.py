"""Text from a stranger's session, before it reaches a terminal, caption, edit list or table."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.model.plain_text import cell_text, clean_text

ESC = "\x1b"
ANY_TEXT = st.text(st.characters(exclude_categories=()), max_size=200)
# Text dense in the characters that matter.
NASTY = st.text(
    st.sampled_from(list("\x1b\x9b\x9d\x90\x07\x9c[]P;m\\0A \n\r\t=\u202e\u2066\u200dé"))
)


@pytest.mark.parametrize(
    ("dirty", "clean"),
    [
        (f"{ESC}[31mred{ESC}[0m", "red"),
        (f"a{ESC}]0;title\x07b", "ab"),
        (f"a{ESC}]8;;x:y{ESC}\\link{ESC}]8;;{ESC}\\b", "alinkb"),
        (f"a{ESC}Pq data{ESC}\\b", "ab"),
        ("a\x9b31mb", "ab"),
        (f"a{ESC}cb", "ab"),
        (f"{ESC}]no end", "no end"),
        (f"{ESC}{ESC}[[mm", "mm"),
        ("bell\x07 back\x08 del\x7f", "bell back del"),
        ("one\r\ntwo\u2028three\ttab", "one two three tab"),
        ("user\u202etxt.exe\u2066x\u2069", "usertxt.exex"),
        ("so\u00adft ze\u200bro\ufeff", "soft zero"),
        ("tag\U000e0041\ufffe", "tag"),
        ("lone\ud800", "lone"),
        ("  padded ", "padded"),
    ],
)
def test_what_could_act_is_taken_out(dirty: str, clean: str) -> None:
    """Escapes, controls, overrides and invisible characters go; the words stay."""
    assert clean_text(dirty) == clean


@pytest.mark.parametrize(
    "text",
    [
        "Ésméralda",
        "東京タワー",
        "فولاد صلب",
        "צבת",
        "🚀 Rocket",
        "👩\u200d🔧",
        "mi\u200cravam",
        "Ø 8",
    ],
)
def test_words_of_any_script_stay(text: str) -> None:
    """Names in other scripts, joined emoji and non-joiners come through unchanged."""
    assert clean_text(text) == text


@given(ANY_TEXT | NASTY)
def test_cleaning_leaves_nothing_that_acts_and_is_done_once(text: str) -> None:
    """After cleaning no control or override is left, and cleaning again changes nothing."""
    cleaned = clean_text(text)
    kinds = {unicodedata.category(char) for char in cleaned}
    assert not kinds & {"Cc", "Cs", "Zl", "Zp"}
    assert not set(cleaned) & set("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
    assert clean_text(cleaned) == cleaned
    kept = clean_text(text, keep_line_ends=True)
    assert {char for char in kept if unicodedata.category(char) == "Cc"} <= {"\n"}


def test_line_ends_are_unified_where_they_are_kept() -> None:
    """A caption keeps its lines, all ended the same way."""
    assert clean_text("one\r\ntwo\rthree\x85four", keep_line_ends=True) == "one\ntwo\nthree\nfour"


def test_a_huge_hostile_text_takes_no_time() -> None:
    """Introducers without ends do not make the search run away: a megabyte of them just goes."""
    assert clean_text("\x9d" * 500_000 + "\x1b]" * 250_000) == ""


@pytest.mark.parametrize(
    ("text", "cell"),
    [
        ("=SUM(A1)", "'=SUM(A1)"),
        ("+1", "'+1"),
        ("-x", "'-x"),
        ("@cmd", "'@cmd"),
        ("\t=1", "'=1"),
        ("\x1b[0m=1", "'=1"),
        ("Alder = 1", "Alder = 1"),
    ],
)
def test_a_cell_is_never_computed(text: str, cell: str) -> None:
    """Words that a spreadsheet would take for a formula get an apostrophe in front."""
    assert cell_text(text) == cell
