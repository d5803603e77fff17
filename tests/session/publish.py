"""Writes what is published of session.toml anew: ``python -m tests.session.publish``."""

from __future__ import annotations

import json
from pathlib import Path

from overlays.session.options import options_page
from overlays.session.schema import session_schema

__all__ = ["FOLDER", "OPTIONS", "SCHEMA", "schema_text"]

FOLDER = Path(__file__).parents[2] / "demo_sessions"
OPTIONS, SCHEMA = "OPTIONS.md", "session.schema.json"


def schema_text() -> str:
    """Return the JSON schema as it is published."""
    return json.dumps(session_schema(), ensure_ascii=False, indent=1) + "\n"


if __name__ == "__main__":
    (FOLDER / OPTIONS).write_text(options_page(), encoding="utf-8")
    (FOLDER / SCHEMA).write_text(schema_text(), encoding="utf-8")
