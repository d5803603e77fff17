"""Which encoding the bytes of a text without a byte-order mark are in."""

from __future__ import annotations

import codecs

__all__ = ["encoding_of"]

# Words of the headers that loggers write: encodings of two bytes a letter look alike otherwise.
_WORDS = {
    "euc_jp": ("時間", "時刻", "日時", "温度", "電圧", "電流", "圧力", "荷重", "トルク"),
    "gb18030": ("时间", "日期", "温度", "电压", "电流", "压力", "转速", "扭矩"),
    "euc_kr": ("시간", "온도", "전압", "전류", "압력", "하중", "토크"),
    "cp1251": ("врем", "темпер", "давлен", "напряж", "сила", "ток", "дата", "момент"),
}
_FEWEST = 2
# Kana and the kanji in daily use (JIS X 0208, level 1) begin with bytes up to this one; accented
# letters of Europe would be the rare ones behind it (from memory).
_LAST_COMMON, _COMMON = 0x97, 0.6
_TOGETHER = 0.8


def encoding_of(head: bytes) -> tuple[str, bool]:
    """Tell the encoding of a file without a mark.

    Parameters
    ----------
    head : bytes
        The beginning of the file; it may end within a character.

    Returns
    -------
    (str, bool)
        A codec's name, and whether it was concluded from bytes that UTF-8 does not have.
    """
    even, odd = head[0:4096:2], head[1:4096:2]
    if len(odd) > 1:
        # Digits, letters and delimiters of UTF-16 have a zero byte beside each.
        if odd.count(0) > 0.7 * len(odd) and even.count(0) < 0.1 * len(even):
            return "utf-16-le", True
        if even.count(0) > 0.7 * len(even) and odd.count(0) < 0.1 * len(odd):
            return "utf-16-be", True
    if _decoded(head, "utf-8") is not None:
        return "utf-8", False
    if _is_japanese(_decoded(head, "cp932")):
        return "cp932", True
    for encoding, words in _WORDS.items():
        text = (_decoded(head, encoding) or "").lower()
        if any(word in text for word in words):
            return encoding, True
    return "cp1252", True


def _decoded(head: bytes, encoding: str) -> str | None:
    try:
        # Not final: the head may end within a character.
        return codecs.getincrementaldecoder(encoding)().decode(head)
    except UnicodeDecodeError:
        return None


def _is_japanese(text: str | None) -> bool:
    """Say whether text read as Shift JIS makes sense: kana and kanji that stand together.

    Accented letters of Europe come out as single kanji between letters, a degree sign as a narrow
    kana.
    """
    if text is None:
        return False
    wide = [i for i, sign in enumerate(text) if not sign.isascii()]
    if len(wide) < _FEWEST or any(
        "\uff61" <= text[i] <= "\uff9f" or text[i] > "\ufffc" for i in wide
    ):
        return False
    if any("\ue000" <= text[i] <= "\uf8ff" for i in wide):
        return False
    common = sum(text[i].encode("cp932", "replace")[0] <= _LAST_COMMON for i in wide)
    if common < _COMMON * len(wide):
        return False
    places = set(wide)
    together = sum(i - 1 in places or i + 1 in places for i in wide)
    return together >= _TOGETHER * len(wide)
