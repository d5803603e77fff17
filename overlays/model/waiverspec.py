"""Checks that a session lets pass although they fail, each with its reason."""

from __future__ import annotations

from typing import Annotated

from pydantic import BeforeValidator, Field, WithJsonSchema

from overlays.model.check import CHECKS
from overlays.model.spec import ShownText, Spec, told

__all__ = ["WaiverSpec"]


def _check(value: object) -> object:
    if value not in CHECKS:
        raise told(
            f"found {value!r:.60}; expected the name of a check.",
            code="unknown-check",
            remedy=f"Choose one of: {', '.join(CHECKS)}.",
        )
    return value


def _reason(value: object) -> object:
    if isinstance(value, str) and not value.strip():
        raise told(
            "a waiver without a reason is none.",
            code="no-reason",
            remedy="Say why it may pass; the review page shows it.",
        )
    return value


class WaiverSpec(Spec):
    """A table ``[[waivers]]``."""

    check: Annotated[
        str,
        BeforeValidator(_check),
        WithJsonSchema({"type": "string", "enum": sorted(CHECKS), "description": "The check."}),
    ]
    """Which check may fail."""
    cue: ShownText = ""
    """Of which cue; of all where it is left out."""
    reason: Annotated[str, BeforeValidator(_reason), Field(min_length=1, max_length=500)]
    """Why it may pass, as the review page shows it."""
