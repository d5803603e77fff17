"""Reel names: eight characters, one for each clip."""

from __future__ import annotations

import base64
import hashlib
import re
import unicodedata
from collections.abc import Sequence

from overlays.turnover.manifest import ManifestClip

__all__ = ["reels"]

_LENGTH = 8
_SPOKEN = 4


def reels(clips: Sequence[ManifestClip]) -> dict[str, str]:
    """Name a reel for each cue.

    A reel is up to four letters or digits of the cue's id, for people, filled up with characters
    of a digest of the id. It depends on the id alone, so that an edit elsewhere leaves it as it
    is; should two ids ever meet, the one later in the alphabet takes the next digest.

    Returns
    -------
    dict of str to str
        By cue; each of eight characters out of A–Z and 0–9 (CMX 3600 knows no others that every
        reader takes), no two the same.

    Examples
    --------
    >>> reels(())
    {}
    """
    taken: dict[str, str] = {}
    for cue in sorted(clip.cue for clip in clips):
        attempt = 0
        while (reel := _reel(cue, attempt)) in taken:
            attempt += 1
        taken[reel] = cue
    return {cue: reel for reel, cue in taken.items()}


def _reel(cue: str, attempt: int) -> str:
    plain = unicodedata.normalize("NFKD", cue).encode("ascii", "ignore").decode().upper()
    spoken = re.sub(r"[^A-Z0-9]", "", plain)[:_SPOKEN]
    mark = hashlib.sha256(f"{cue}\n{attempt}".encode("utf-8", "surrogatepass")).digest()
    return (spoken + base64.b32encode(mark).decode())[:_LENGTH]
