"""The published JSON Schema."""

from __future__ import annotations

import json
import tomllib
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from overlays.session.schema import session_schema
from tests.session.folder import TOML

REPOSITORY = Path(__file__).parents[2]


def plain(value: Any) -> Any:
    """Return a TOML value as JSON has it."""
    if isinstance(value, dict):
        return {key: plain(item) for key, item in value.items()}
    if isinstance(value, list):
        return [plain(item) for item in value]
    return value.isoformat() if isinstance(value, date) else value


def test_it_is_valid_json_schema() -> None:
    """The schema is JSON and obeys the draft it names (checked by the jsonschema library)."""
    schema = session_schema()
    json.dumps(schema, allow_nan=False)
    Draft202012Validator.check_schema(schema)


@pytest.mark.parametrize("name", ["demo_sessions/brake_bench", "tests/data/sessions/mini"])
def test_our_own_sessions_obey_it(name: str) -> None:
    """What our reader takes, an editor with the schema takes."""
    document = tomllib.loads((REPOSITORY / name / "session.toml").read_text(encoding="utf-8"))
    Draft202012Validator(session_schema()).validate(plain(document))


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('length = "4 s"', "length = 4"),
        ('length = "4 s"', 'lenght = "4 s"'),
        ('take = "mean"', 'take = "maen"'),
        ("most = 60", "most = 0"),
        ("[entries.ash]", "[entries.Ash]"),
    ],
)
def test_what_our_reader_refuses_it_refuses(old: str, new: str) -> None:
    """Slips inside one table are caught while typing."""
    document = plain(tomllib.loads(TOML.replace(old, new, 1)))
    assert not Draft202012Validator(session_schema()).is_valid(document)


def test_every_key_is_explained() -> None:
    """An editor with the schema tells what each key means (a take or rule names itself)."""
    schema = session_schema()
    silent = [
        (table, key)
        for table, content in schema["$defs"].items()
        for key, declared in content.get("properties", {}).items()
        if "description" not in declared and key not in {"take", "rule", "kind"}
    ]
    assert silent == []
