"""Codecs by name. A codec called NAME is the module NAME of this package."""

from __future__ import annotations

from importlib import import_module

from overlays.errors import RenderError
from overlays.model.clip import CODECS
from overlays.render.codecs.base import Codec

__all__ = ["codec_named", "refuse_codec"]


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
