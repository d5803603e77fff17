"""Ids of beats and cues: as written, else made from words, and the same after edits elsewhere."""

from __future__ import annotations

import re
import unicodedata

from overlays.errors import OutlineError

__all__ = ["FreeIds", "id_from_words", "written_id"]

_LONGEST = 60
_ID = re.compile(r"[^\W_][\w.-]{0,79}")


def id_from_words(text: str) -> str:
    """Make an id from a heading: its letters and digits in lower case, joined by hyphens.

    Examples
    --------
    >>> id_from_words("Wet stop: who's best?"), id_from_words("Öl, kalt"), id_from_words("…")
    ('wet-stop-who-s-best', 'öl-kalt', 'beat')
    """
    words = re.findall(r"[^\W_]+", unicodedata.normalize("NFC", text).casefold())
    made = "-".join(words)
    if len(made) > _LONGEST:
        made = made[:_LONGEST].rsplit("-", 1)[0]
    return made or "beat"


class FreeIds:
    """Gives ids out, each once.

    Examples
    --------
    >>> ids = FreeIds()
    >>> ids.take("end"), ids.take("end"), ids.take("end-2"), ids.take("end")
    ('end', 'end-2', 'end-2-2', 'end-3')
    """

    def __init__(self) -> None:
        self._taken: set[str] = set()
        self._last: dict[str, int] = {}

    def take(self, wanted: str) -> str:
        """Return `wanted`, or with the first number from 2 that makes it free."""
        found, number = wanted, self._last.get(wanted, 1)
        while found in self._taken:
            number += 1
            found = f"{wanted}-{number}"
        self._taken.add(found)
        self._last[wanted] = number
        return found


def written_id(value: object) -> str:
    """Check a cue's id as written.

    Raises
    ------
    OutlineError
        If it is not made of letters, digits, ``-``, ``_`` and ``.``, or is longer than 80.
    """
    composed = unicodedata.normalize("NFC", value) if isinstance(value, str) else ""
    if _ID.fullmatch(composed):
        return composed
    raise OutlineError(
        f"{str(value)[:60]!r} is not an id; expected up to 80 letters, digits, '-', '_' and '.', "
        "a letter or digit first.",
        code="bad-id",
        remedy='Write it like id = "cold-stop".',
    )
