"""Picture strips kept from one run to the next, in a hidden file of the turnover.

A strip shows what its clip shows, so it is drawn again only when the clip is. Losing the file, or
finding it damaged, costs the time of drawing the strips once more.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Annotated

from pydantic import Field, TypeAdapter, ValidationError

from overlays.files import write_text_whole
from overlays.render.batch import Rendered
from overlays.session.stored import kept_bytes
from overlays.turnover.strip import Picture
from overlays.versions import source_digest

__all__ = ["STRIPS_FILE", "KeptStrips"]

STRIPS_FILE = ".tracereel-strips.json"

_Digest = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
_KEPT = TypeAdapter(dict[_Digest, tuple[Picture, ...]])
_URL = "data:image/webp;base64,"


class KeptStrips:
    """The strips of a turnover's folder.

    Parameters
    ----------
    folder : Path
        The turnover.
    """

    def __init__(self, folder: Path) -> None:
        self._file = folder / STRIPS_FILE
        self._found = _read(self._file)
        self._used: dict[str, tuple[Picture, ...]] = {}
        # Another way of making small pictures makes other ones.
        self._made_by = source_digest("turnover/strip.py")

    def get(self, clip: Rendered, frames: Sequence[int]) -> tuple[Picture, ...] | None:
        """Return the strip of a clip with just these frames, None where it is not kept."""
        key = self._key(clip, frames)
        if not clip.key or key not in self._found:
            return None
        self._used[key] = self._found[key]
        return self._used[key]

    def put(self, clip: Rendered, frames: Sequence[int], pictures: tuple[Picture, ...]) -> None:
        """Keep a strip just drawn."""
        if clip.key:
            self._used[self._key(clip, frames)] = pictures

    def save(self) -> None:
        """Write what was asked for or put; the rest has had its time.

        Raises
        ------
        WorkError
            If the file cannot be written.
        """
        if self._used == self._found:
            return
        kept = {key: [asdict(picture) for picture in strip] for key, strip in self._used.items()}
        write_text_whole(self._file, json.dumps(kept, sort_keys=True) + "\n")

    def _key(self, clip: Rendered, frames: Sequence[int]) -> str:
        text = f"{self._made_by} {clip.key} {list(frames)}"
        return hashlib.sha256(text.encode()).hexdigest()


def _read(file: Path) -> dict[str, tuple[Picture, ...]]:
    try:
        found = _KEPT.validate_json(kept_bytes(file))
    except ValidationError:
        return {}
    # It goes into the review page: nothing but such a picture may.
    plain = all(picture.url.startswith(_URL) for strip in found.values() for picture in strip)
    return found if plain else {}
