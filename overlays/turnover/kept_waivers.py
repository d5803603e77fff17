"""A session's waivers, kept in a hidden file of its turnover, so that `verify` knows them too.

They are the session's word, not proof: whoever can change the folder can change them.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from pydantic import TypeAdapter, ValidationError

from overlays.files import write_text_whole
from overlays.model.waiverspec import WaiverSpec
from overlays.session.stored import kept_bytes

__all__ = ["WAIVERS_FILE", "keep_waivers", "kept_waivers"]

WAIVERS_FILE = ".tracereel-waivers.json"
_KEPT = TypeAdapter(tuple[WaiverSpec, ...])


def keep_waivers(folder: Path, waivers: Sequence[WaiverSpec]) -> None:
    """Keep a session's waivers in its turnover; raises as `overlays.files.write_text_whole`."""
    if not waivers and not (folder / WAIVERS_FILE).exists():
        return
    text = _KEPT.dump_json(tuple(waivers), indent=1).decode()
    write_text_whole(folder / WAIVERS_FILE, text + "\n")


def kept_waivers(folder: Path) -> tuple[WaiverSpec, ...]:
    """Return the waivers that a turnover holds: none where it has no such file, or a broken one."""
    try:
        return _KEPT.validate_json(kept_bytes(folder / WAIVERS_FILE))
    except ValidationError:
        return ()
