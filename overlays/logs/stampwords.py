"""Dates and times of day in the words of a language → as the reader of stamps knows them."""

from __future__ import annotations

import re

__all__ = ["plain_stamp"]

# The beginnings of the months' names in English, German, French, Spanish, Italian, Portuguese,
# Swedish and Dutch (CLDR's abbreviated months, from memory), where they differ from English.
_MONTHS = {
    "janv": "jan", "janeiro": "jan", "januar": "jan", "ene": "jan", "gen": "jan",
    "fév": "feb", "fev": "feb", "mär": "mar", "mrz": "mar", "mrt": "mar", "maa": "mar",
    "avr": "apr", "abr": "apr", "mai": "may", "maj": "may", "mei": "may", "mag": "may",
    "juin": "jun", "giu": "jun", "juil": "jul", "lug": "jul", "aoû": "aug", "aou": "aug",
    "ago": "aug", "set": "sep", "okt": "oct", "ott": "oct", "out": "oct", "déc": "dec",
    "dez": "dec", "dic": "dec",
}  # fmt: skip
_ENGLISH = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_SPACES = str.maketrans(dict.fromkeys("\u00a0\u202f\u2009\u200e\u200f", " "))
_HALVES = {
    "午前": "AM", "午後": "PM", "上午": "AM", "下午": "PM", "오전": "AM", "오후": "PM",
    "a.m.": "AM", "p.m.": "PM", "a. m.": "AM", "p. m.": "PM", "fm": "AM", "em": "PM",
}  # fmt: skip
_HALF = "|".join(map(re.escape, _HALVES))
_HALF_IN_FRONT = re.compile(
    rf"(?i)(?P<before>.*?)(?P<half>{_HALF})\s*(?P<clock>\d{{1,2}}[:時时시].*)"
)
_HALF_BEHIND = re.compile(rf"(?i)(?P<clock>.*\d)\s*(?P<half>{_HALF})")
_CJK_DATE = re.compile(r"(\d{4})\s?[年년]\s?(\d{1,2})\s?[月월]\s?(\d{1,2})\s?[日일]\s*")
_CJK_CLOCK = re.compile(
    r"(\d{1,2})\s?[時时点시]\s?(\d{1,2})\s?[分분](?:\s?(\d{1,2}(?:[.,]\d{1,9})?)\s?[秒초])?"
)
_WEEKDAY = re.compile(r"[^\W\d_]{2,10}\.?,?\s+(?=[^\W\d_]{3,10}\.?\s+\d|\d)")
_DAY_MONTH = re.compile(
    r"(?P<day>\d{1,2})\.?[\s-](?:de\s)?(?P<month>[^\W\d_]{3,10})\.?,?[\s-](?:de\s)?(?P<year>\d{4}|\d{2})"
    r"(?P<rest>\D.*)?"
)
_MONTH_DAY = re.compile(
    r"(?P<month>[^\W\d_]{3,10})\.?\s+(?P<day>\d{1,2}),?\s+(?P<year>\d{4})(?P<rest>\D.*)?"
)
_CTIME = re.compile(
    r"(?P<month>[^\W\d_]{3,10})\.?\s+(?P<day>\d{1,2})\s+(?P<rest>\d{1,2}:\S+)\s+(?P<year>\d{4})"
)
_DOTTED_FRACTION = re.compile(r"(\d{1,2})\.(\d{2})\.(\d{2}[.,]\d{1,9})")
# After a date, three numbers between points are a time of day.
_DOTTED = re.compile(
    r"(?P<date>\d{1,4}[-/.]\d{1,2}[-/.]\d{1,4},?\s)(?P<h>\d{1,2})\.(?P<m>\d{2})\.(?P<rest>\d{2}.*)"
)
# A length of time with its days in front, as tables of durations are written.
_DAYS = re.compile(r"(?i)(\d{1,2})\s?(?:days?|d|tage?),?\s+(\d{1,2}):(\d{2}:\d{2}(?:[.,]\d{1,9})?)")
_HYPHENS = re.compile(r"(\d{4}-\d{2}-\d{2})[-_ T](\d{2})-(\d{2})-(\d{2}(?:[.,]\d{1,9})?)")
_LETTERS_OF_CLOCK = re.compile(
    r"(?i)(\d{1,2})\s?h\s?(\d{2})\s?(?:m|min)\s?(\d{2}(?:[.,]\d{1,9})?)\s?s?"
)


def plain_stamp(text: str) -> str:
    """Write a stamp with digits, an English month and AM or PM; other text comes back as it is.

    Parameters
    ----------
    text : str
        A stripped cell.

    Examples
    --------
    >>> plain_stamp("11 mars 2025 10:00:00"), plain_stamp("午後1:02:03"), plain_stamp("12.5")
    ('11-mar-2025 10:00:00', '1:02:03 PM', '12.5')
    """
    text = text.translate(_SPACES).strip().removeprefix("[").removesuffix("]")
    if match := _DAYS.fullmatch(text):
        return f"{24 * int(match[1]) + int(match[2])}:{match[3]}"
    if match := _HYPHENS.fullmatch(text):
        return f"{match[1]} {match[2]}:{match[3]}:{match[4]}"
    if match := _DOTTED_FRACTION.fullmatch(text):
        return f"{match[1]}:{match[2]}:{match[3]}"
    text = _CJK_DATE.sub(r"\1-\2-\3 ", text)
    text = _CJK_CLOCK.sub(lambda m: f"{m[1]}:{m[2]:0>2}:{m[3] or '00':0>2}", text).strip()
    if match := _HALF_IN_FRONT.fullmatch(text):
        half = _HALVES[match["half"].lower()]
        text = f"{match['before'].strip()} {match['clock'].strip()} {half}".strip()
    elif match := _HALF_BEHIND.fullmatch(text):
        text = f"{match['clock']} {_HALVES[match['half'].lower()]}"
    if match := _LETTERS_OF_CLOCK.search(text):
        text = f"{text[: match.start()]}{match[1]}:{match[2]}:{match[3]}{text[match.end() :]}"
    return _with_month(text)


def _with_month(text: str) -> str:
    if match := _DOTTED.fullmatch(text):
        return f"{match['date']}{match['h']}:{match['m']}:{match['rest']}"
    bare = _WEEKDAY.sub("", text, count=1) if text[:1].isalpha() else text
    forms = (_DAY_MONTH, _MONTH_DAY, _CTIME)
    for match in (form.fullmatch(said) for said in (text, bare) for form in forms):
        month = _month(match["month"]) if match else None
        if match and month:
            rest = (match["rest"] or "").strip(" ,")
            rest = re.sub(r"(?i)^(?:at|um|à|kl\.?)\s+", "", rest)
            return f"{match['day']}-{month}-{match['year']} {rest}".strip()
    return text


def _month(word: str) -> str | None:
    low = word.lower()
    for start, month in _MONTHS.items():
        if low.startswith(start):
            return month
    return low[:3] if low[:3] in _ENGLISH else None
