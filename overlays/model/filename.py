r"""File names that every usual operating system and file system takes.

Rules, and where they come from:

* reserved device names, the characters ``< > : " / \ | ? *``, control characters and trailing dots
  or spaces: Microsoft, "Naming Files, Paths, and Namespaces" (superscript digits included);
* 255 bytes a name: the limit of ext4, APFS and NTFS is 255 bytes, bytes and UTF-16 units, and the
  bytes of UTF-8 are never fewer than those units. Ours is shorter, for room to add an ending;
* Unicode NFC: HFS+ stores decomposed names, others store what they are given (UAX #15).

Whether a name exists already is not asked here, and neither are paths: a name holds no separator.
"""

from __future__ import annotations

import hashlib
import unicodedata
from collections.abc import Iterator

__all__ = ["MOST_BYTES", "refuse_file_name", "safe_file_name"]

MOST_BYTES = 120
_LIMIT_BYTES = 255
_FORBIDDEN = frozenset('<>:"/\\|?*')
_DEVICES = frozenset(
    ["con", "prn", "aux", "nul", "conin$", "conout$", "clock$"]
    + [f"{port}{digit}" for port in ("com", "lpt") for digit in "0123456789¹²³"]
)
# Cc control, Cf format (bidi marks, joiners), Cs lone surrogates, Co private, Cn unassigned,
# Zl and Zp line and paragraph separators.
_UNSEEN = frozenset(("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"))
_STAND_IN = "_"


def refuse_file_name(name: str) -> str | None:
    """Say why a file name cannot be used, or None where it can.

    Parameters
    ----------
    name : str
        One name with its ending, without folders.

    Returns
    -------
    str or None
        The reason, to follow the words "the name …".

    Examples
    --------
    >>> refuse_file_name("aux.mov")
    "is reserved for a device on Windows ('aux')"
    >>> refuse_file_name("auxiliary.mov") is None
    True
    """
    return next(_reasons(name), None)


def _reasons(name: str) -> Iterator[str]:
    if not name:
        yield "is empty"
        return
    for char in name:
        if char in _FORBIDDEN:
            yield f"holds {char!r}, which file systems keep for themselves"
        if unicodedata.category(char) in _UNSEEN:
            yield f"holds the invisible character U+{ord(char):04X}"
    if name[-1] in ". ":
        yield f"ends in {name[-1]!r}, which Windows cuts off"
    if name[0] == " ":
        yield "begins with a space"
    if (size := len(name.encode())) > _LIMIT_BYTES:
        yield f"is {size} bytes long; file systems take {_LIMIT_BYTES}"
    if (device := _device(name)) is not None:
        yield f"is reserved for a device on Windows ({device!r})"
    if name != unicodedata.normalize("NFC", name):
        yield "is written with decomposed accents, which file systems spell differently"


def _device(name: str) -> str | None:
    # Windows looks at what stands before the first dot, trailing spaces left out.
    stem = name.split(".", 1)[0].rstrip(" ")
    return stem if stem.casefold() in _DEVICES else None


def safe_file_name(text: str, *, ending: str = "") -> str:
    """Make a file name from any text, the same one every time.

    Names that are safe already and short enough pass unchanged, so the function may be applied
    again. A name that had to be shortened keeps its beginning and gains eight hex digits of the
    whole text, so that two long texts do not meet.

    Parameters
    ----------
    text : str
        Anything, such as an entry's name.
    ending : str
        Put behind, dot included, such as ``".mov"``; counts towards the length.

    Returns
    -------
    str
        A name for which `refuse_file_name` returns None.

    Raises
    ------
    ValueError
        If `ending` is no file ending, or leaves no room.

    Examples
    --------
    >>> safe_file_name("lap: 1", ending=".mov"), safe_file_name("CON"), safe_file_name("...")
    ('lap_ 1.mov', 'CON_', '_')
    """
    size = len(ending.encode())
    if ending and (not ending.startswith(".") or refuse_file_name(f"x{ending}") is not None):
        raise ValueError(f"{ending!r} is no file ending")
    if MOST_BYTES - size < 16:
        raise ValueError(f"{MOST_BYTES} bytes leave no room for a name before {ending!r}")
    stem = "".join(_visible(char) for char in unicodedata.normalize("NFC", text))
    stem = _trimmed(stem) or _STAND_IN
    if (device := _device(stem + ending)) is not None:
        stem = f"{device}{_STAND_IN}{stem[len(device) :]}"
    if len(stem.encode()) > MOST_BYTES - size:
        stem = _shortened(stem, text, MOST_BYTES - size)
    return stem + ending


def _visible(char: str) -> str:
    kind = unicodedata.category(char)
    if char in _FORBIDDEN or kind in ("Cc", "Zl", "Zp"):
        return _STAND_IN
    return "" if kind in _UNSEEN else char


def _trimmed(stem: str) -> str:
    # Removing characters may bring accents beside new letters: normalise once more.
    return unicodedata.normalize("NFC", stem).strip(" ").rstrip(". ")


def _shortened(stem: str, text: str, most_bytes: int) -> str:
    mark = hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()[:8]
    room = most_bytes - len(mark) - 1
    kept = stem.encode()[:room].decode("utf-8", "ignore")
    # A cut must not part a letter from the accents that follow it.
    while kept and unicodedata.combining(stem[len(kept)]):
        kept = kept[:-1]
    return f"{_trimmed(kept)}-{mark}"
