"""Text from a session, made harmless for a terminal, a caption, an edit list or a spreadsheet.

A session may come from a stranger. Its names and notes reach places that give characters a
meaning: a terminal obeys escape sequences (ECMA-48), a text renderer obeys direction overrides
(UAX #9; used to disguise text as described in CVE-2021-42574), line-based formats obey line ends,
and spreadsheets compute cells that begin with ``=`` (OWASP, "CSV Injection"). Markup for a page is
not treated here: whoever writes HTML escapes for HTML.
"""

from __future__ import annotations

import re
import unicodedata

__all__ = ["cell_text", "clean_text"]

# ECMA-48: control strings (OSC, DCS, SOS, PM, APC) to their terminator, CSI sequences, and the
# remaining two-character escapes; both the 7-bit and the 8-bit forms. A control string without
# an end is cut from its introducer only, so that a lone byte cannot swallow a whole text.
_ESCAPES = re.compile(
    "(?:\x1b[\\]PX^_]|[\x9d\x90\x98\x9e\x9f])"
    "[^\x07\x1b\x9c\x9d\x90\x98\x9e\x9f]{0,4096}(?:\x07|\x1b\\\\|\x9c)"
    "|(?:\x1b\\[|\x9b)[0-?]{0,64}[ -/]{0,16}[@-~]"
    "|\x1b[ -/]{0,16}[0-~]"
)
_JOINERS = frozenset("\u200c\u200d")  # Persian spelling and joined emoji need them
_LINE_ENDS = frozenset("\n\r\v\f\x1c\x1d\x1e\x85\u2028\u2029")
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


def clean_text(text: str, *, keep_line_ends: bool = False) -> str:
    r"""Take out everything that is not plain visible text.

    Terminal escape sequences go whole; control characters, direction overrides, soft hyphens and
    other format characters (category Cf, joiners excepted) and lone surrogates go; line ends and
    tabs become spaces. Letters of any script, accents, joiners and emoji stay. Applying it again
    changes nothing.

    Parameters
    ----------
    text : str
        Anything.
    keep_line_ends : bool
        Keep line ends, written as ``\n``.

    Returns
    -------
    str
        In Unicode NFC, stripped at both ends where line ends are not kept.

    Examples
    --------
    >>> clean_text("Alder\x1b[2J \u202efdp.exe")
    'Alder fdp.exe'
    """
    # What a removal brings together cannot act: the escape character itself goes in any case.
    without = _ESCAPES.sub("", text.replace("\r\n", "\n"))
    line_end = "\n" if keep_line_ends else " "
    kept = "".join(_plain(char, line_end) for char in without)
    kept = unicodedata.normalize("NFC", kept)
    return kept if keep_line_ends else kept.strip(" ")


def _plain(char: str, line_end: str) -> str:
    if char in _LINE_ENDS:
        return line_end
    if char == "\t":
        return " "
    kind = unicodedata.category(char)
    unseen = kind in ("Cc", "Cs") or (kind == "Cf" and char not in _JOINERS)
    # The last two places of every plane are no characters at all (Unicode, section 23.7).
    return "" if unseen or ord(char) & 0xFFFE == 0xFFFE else char


def cell_text(text: str) -> str:
    """Return `clean_text` with an apostrophe in front where a spreadsheet would compute the cell.

    For words only: a number such as ``-12.5`` is written by whoever knows it to be one.

    Examples
    --------
    >>> cell_text("=1+1"), cell_text("Alder")
    ("'=1+1", 'Alder')
    """
    cleaned = clean_text(text)
    return f"'{cleaned}" if cleaned.startswith(_FORMULA_STARTS) else cleaned
