"""What a clip's picture depends on, as digests with names: the cache's key, and its reasons.

A clip is drawn again when any of these differs from last time; the names of those that differ are
the reason given. Where the clip lies on the timeline is not among them: that changes a file's
timecode, not its picture.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import fields, is_dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import numpy as np

from overlays.draw.text import font_files
from overlays.model.clip import Clip
from overlays.render.code_versions import code_digest, library_versions
from overlays.style.house import load_style

__all__ = ["digest_of", "fingerprint", "reasons"]

_PLAIN = (str, int, float, bool, Decimal, Fraction, date, Path, type(None))
_NUMBERS = (float, Decimal, np.ndarray)


def fingerprint(clip: Clip, *, codec: str, styles: dict[tuple[str, str], str]) -> dict[str, str]:
    """Return everything a clip's picture depends on.

    Parameters
    ----------
    clip : Clip
        What is to be rendered.
    codec : str
        How it is to be written.
    styles : dict
        Digests of styles by name and folder, filled in as they are met: a run reads each once.

    Returns
    -------
    dict of str to str
        By name; names beginning with ``data`` or ``cue`` are fields of the clip's content, those
        with values in them and those with words, keys and choices only.

    Raises
    ------
    StyleError
        If the clip's style has gone.
    """
    stage = clip.stage
    style = (stage.style, stage.style_root)
    if style not in styles:
        styles[style] = _style_digest(*style)
    content = {
        f"{'data' if _measured(value) else 'cue'} {name}": digest_of(value)
        for name, value in _named(clip.content)
    }
    return content | {
        "kind": clip.kind,
        "length": str(stage.frames),
        "handles": "+".join(str(frames) for frames in clip.handles),
        "canvas": f"{stage.width}x{stage.height}",
        "rate": str(stage.rate),
        "decimal mark": stage.decimal_mark,
        "place": stage.place or "",
        "leaving": str(stage.leave),
        "motion": stage.motion,
        "codec": codec,
        "style": styles[style],
        "code": code_digest(),
        "libraries": library_versions(),
    }


def reasons(before: Mapping[str, str], now: Mapping[str, str]) -> tuple[str, ...]:
    """Name what differs between two fingerprints, fields of the content gathered.

    Examples
    --------
    >>> reasons({"data lines": "1", "cue title": "2"}, {"data lines": "3", "cue title": "2"})
    ('data (lines)',)
    """
    changed = sorted(
        name for name in before.keys() | now.keys() if before.get(name) != now.get(name)
    )
    named: dict[str, list[str]] = {}
    for name in changed:
        group, _, field = name.partition(" ")
        if group in ("data", "cue"):
            named.setdefault(group, []).append(field)
        else:
            named[name] = []
    return tuple(
        f"{group} ({', '.join(found)})" if found else group for group, found in named.items()
    )


def digest_of(value: object) -> str:
    """Return a digest of plain data: equal data, equal digest, in every process.

    Parameters
    ----------
    value : object
        Numbers, text, dates, paths, arrays, and dataclasses, mappings and sequences of them.

    Raises
    ------
    TypeError
        If there is anything else in it; an overlay kind's content is plain data.
    """
    digest = hashlib.sha256()
    _feed(digest, value)
    return digest.hexdigest()


def _feed(digest: hashlib._Hash, value: object) -> None:
    # The type's name and a closing mark keep apart what would otherwise run together.
    digest.update(f"<{type(value).__name__} ".encode())
    if isinstance(value, _PLAIN):
        digest.update(repr(value).encode())
    elif isinstance(value, np.ndarray):
        digest.update(f"{value.dtype.str}{value.shape}".encode())
        digest.update(np.ascontiguousarray(value).tobytes())
    elif isinstance(value, Mapping):
        for key in sorted(value, key=repr):
            _feed(digest, key)
            _feed(digest, value[key])
    elif isinstance(value, (Sequence, np.generic)) or is_dataclass(value):
        for item in _items(value):
            _feed(digest, item)
    else:
        raise TypeError(f"content holds a {type(value).__name__}, which is not plain data")
    digest.update(b">")


def _items(value: object) -> Sequence[object]:
    if isinstance(value, np.generic):
        return [value.item()]
    if isinstance(value, Sequence):
        return value
    return [item for pair in _named(value) for item in pair]


def _named(value: object) -> list[tuple[str, object]]:
    if not is_dataclass(value):
        raise TypeError(f"content is a {type(value).__name__}, not a dataclass")
    return [(field.name, getattr(value, field.name)) for field in fields(value)]


def _measured(value: object) -> bool:
    """Tell values (numbers with a fraction, arrays, records) from words, keys and choices."""
    if isinstance(value, _NUMBERS) or is_dataclass(value):
        return True
    if isinstance(value, Mapping):
        return any(_measured(item) for item in value.values())
    if isinstance(value, Sequence) and not isinstance(value, str):
        return any(_measured(item) for item in value)
    return False


def _style_digest(name: str, root: str) -> str:
    """Digest a style: its tokens, and the fonts that it is set in."""
    style = load_style(name, Path(root))
    digest = hashlib.sha256(repr(style.model_dump(exclude={"root"})).encode())
    for file in font_files(style):
        digest.update(file.name.encode() + b"\0" + file.read_bytes() + b"\0")
    return digest.hexdigest()
