from __future__ import annotations

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.logs.stamps import parse_stamps
from overlays.logs.stampwords import plain_stamp

# CLDR's abbreviated months (from memory).
MONTHS = {
    "fr": "janv. févr. mars avr. mai juin juil. août sept. oct. nov. déc.",
    "es": "ene feb mar abr may jun jul ago sept oct nov dic",
    "de": "Jan. Feb. März Apr. Mai Juni Juli Aug. Sept. Okt. Nov. Dez.",
    "it": "gen feb mar apr mag giu lug ago set ott nov dic",
    "pt": "jan. fev. mar. abr. mai. jun. jul. ago. set. out. nov. dez.",
    "sv": "jan. feb. mars apr. maj juni juli aug. sep. okt. nov. dec.",
    "nl": "jan feb mrt apr mei jun jul aug sep okt nov dec",
    "en": "Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec",
}


@pytest.mark.parametrize("language", MONTHS)
def test_months(language: str) -> None:
    """Months in words are read in eight languages."""
    texts = [f"11 {month} 2025 10:00:00" for month in MONTHS[language].split()]
    stamps = parse_stamps(texts)
    assert stamps.valid.all()
    assert (stamps.date[:, 1] - 100).tolist() == list(range(1, 13))


@pytest.mark.parametrize(
    ("text", "plain"),
    [
        ("2025年3月11日 10時00分01秒", "2025-3-11 10:00:01"),
        ("午後1:02:03.5", "1:02:03.5 PM"),
        ("2025/03/11 上午10:00:00", "2025/03/11 10:00:00 AM"),
        ("Tue Mar 11 10:00:00 2025", "11-mar-2025 10:00:00"),
        ("Tue, 11 Mar 2025 10:00:00 GMT", "11-mar-2025 10:00:00 GMT"),
        ("11 de marzo de 2025 10:00:00", "11-mar-2025 10:00:00"),
        ("11/03/2025 10.00.00", "11/03/2025 10:00:00"),
        ("10.00.00,25", "10:00:00,25"),
        ("10h05m01s", "10:05:01"),
        ("[10:05:01]", "10:05:01"),
        ("2025-03-11_10-05-01", "2025-03-11 10:05:01"),
        ("1 days 01:02:03.5", "25:02:03.5"),
        ("10:00:01 a. m.", "10:00:01 AM"),
        ("ERR 12 at 4", "ERR 12 at 4"),
        ("12.5", "12.5"),
    ],
)
def test_words(text: str, plain: str) -> None:
    """What stands in words is put into digits; anything else is left alone."""
    assert plain_stamp(text) == plain


@given(
    st.datetimes(dt.datetime.fromisoformat("1970-01-01"), dt.datetime.fromisoformat("2068-12-31"))
)
def test_ctime_against_the_standard_library(moment: dt.datetime) -> None:
    """The form of C's asctime is read as Python's own library writes it (an outside check)."""
    stamps = parse_stamps([moment.ctime()])
    day, month, year = stamps.date[0].tolist()
    assert (year, month - 100, day) == (moment.year, moment.month, moment.day)
    seconds = 3600 * moment.hour + 60 * moment.minute + moment.second
    assert stamps.clock_ns[0] == seconds * 10**9


@given(st.text(max_size=60))
def test_any_text(text: str) -> None:
    """No text breaks it."""
    assert isinstance(plain_stamp(text), str)
