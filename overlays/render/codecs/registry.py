"""Codecs by name. A codec called NAME is the module NAME of this package."""

from __future__ import annotations

from importlib import import_module
from pathlib import Path

from overlays.errors import RenderError
from overlays.model.clip import CODECS
from overlays.render.codecs.base import Codec

__all__ = ["codec_named", "refuse_codec", "refuse_target"]


def refuse_codec(name: str) -> None:
    """Make sure that a codec is there and carries alpha, without loading it.

    Raises
    ------
    RenderError
        If there is none of that name; one without alpha would lose it in silence.
    """
    if name not in CODECS:
        known = ", ".join(CODECS)
        raise RenderError(
            f"codec {name!r} is not among those that carry straight alpha here: {known}.",
            code="no-alpha-codec",
            field="codec",
            remedy=f"Choose one of {known}.",
        )


def refuse_target(name: str, target: Path) -> None:
    """Make sure that a codec's files may be called like that.

    Raises
    ------
    RenderError
        If the ending is not the codec's: programs go by it.
    """
    ending = CODECS[name]
    # Pictures go to a folder, which may be called anything.
    if ending and target.suffix.lower() != ending:
        raise RenderError(
            f"{name} is written to {ending} files; found {target.name!r}.",
            code="wrong-ending",
            field="out",
            remedy=f"Name it {target.stem + ending!r}, or choose another codec.",
        )


def codec_named(name: str) -> Codec:
    """Return a codec.

    Raises
    ------
    RenderError
        See `refuse_codec`.
    """
    refuse_codec(name)
    codec: Codec = import_module(f"overlays.render.codecs.{name}").CODEC
    return codec
