"""The JSON Schema of session.toml, for editors that check while typing."""

from __future__ import annotations

from typing import Any

from overlays.model.session import SessionSpec

__all__ = ["session_schema"]


def session_schema() -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of session.toml.

    It says what each table may hold; that the names in them exist is checked by `read_session`.
    """
    schema = SessionSpec.model_json_schema()
    _close(schema)
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "A session of Tracereel: session.toml",
    } | {name: part for name, part in schema.items() if name != "title"}


def _close(node: object) -> None:
    """Let no key pass that does not look like one, which pydantic's schema leaves open."""
    if isinstance(node, dict):
        if "patternProperties" in node:
            node["additionalProperties"] = False
        for part in node.values():
            _close(part)
    elif isinstance(node, list):
        for part in node:
            _close(part)
