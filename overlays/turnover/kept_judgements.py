"""What the checks found of clips, kept from one run to the next in a hidden file of the turnover.

A clip that did not change keeps its findings. Losing the file, or finding it damaged, costs the
time of checking once more.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import asdict
from pathlib import Path
from time import monotonic
from typing import Annotated

from pydantic import Field, TypeAdapter, ValidationError

from overlays.checks.judge_clip import Judged
from overlays.files import write_text_whole
from overlays.model.clip import CODECS
from overlays.render.batch import Rendered
from overlays.session.stored import kept_bytes
from overlays.versions import source_digest

__all__ = ["JUDGED_FILE", "KeptJudgements"]

JUDGED_FILE = ".tracereel-judged.json"
_SAVE_EVERY_S = 1.0

_Digest = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
_KEPT = TypeAdapter(dict[_Digest, Judged])


class KeptJudgements:
    """What was found of the clips in a turnover's folder.

    It is found again by what a clip is (its file and what it was made from), where it begins, what
    it lies over, and the code of the checks.

    Parameters
    ----------
    folder : Path
        The turnover.
    codec : str
        Its clips are encoded with.
    footage : Path or None
        A camera file that they lie over.
    """

    def __init__(self, folder: Path, codec: str, footage: Path | None) -> None:
        self._file = folder / JUDGED_FILE
        self._before = _read(self._file)
        self._now: dict[str, Judged] = {}
        self._saved_s = monotonic()
        self._codec = codec
        state = None if footage is None else footage.stat()
        behind = f"{footage} {state.st_size} {state.st_mtime_ns}" if state is not None else ""
        made_by = source_digest("checks", "turnover/proof.py", "model/check.py")
        self._made_by = f"{made_by} {behind}"

    def get(self, clip: Rendered) -> Judged | None:
        """Return what was found of a clip, None where nothing is kept."""
        key = self._key(clip)
        if clip.key and key in self._before:
            self._now[key] = self._before[key]
        return self._now.get(key)

    def put(self, clip: Rendered, judged: Judged) -> None:
        """Keep what was found of a clip; raises as `save`."""
        if clip.key:
            self._now[self._key(clip)] = judged
        if monotonic() - self._saved_s >= _SAVE_EVERY_S:
            self.save()

    def save(self) -> None:
        """Write what was asked for or put; the rest has had its time.

        Raises
        ------
        WorkError
            If the file cannot be written.
        """
        self._saved_s = monotonic()
        if self._now == self._before:
            return
        found = {key: asdict(judged) for key, judged in self._now.items()}
        write_text_whole(self._file, json.dumps(found, sort_keys=True) + "\n")
        self._before = dict(self._now)

    def _key(self, item: Rendered) -> str:
        clip = item.clip
        # A file's timecode is checked, too; pictures in a folder have none.
        start = clip.timebase.label(clip.file_first_frame) if CODECS[self._codec] else ""
        text = f"{self._made_by} {item.sha256} {item.key} {start}"
        return hashlib.sha256(text.encode()).hexdigest()


def _read(file: Path) -> dict[str, Judged]:
    try:
        return _KEPT.validate_json(kept_bytes(file))
    except ValidationError:
        return {}
