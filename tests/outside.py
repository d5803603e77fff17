"""Reads values to check against that come from outside the project (see data/checks/README.md)."""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

__all__ = ["Row", "rows"]

FOLDER = Path(__file__).parent / "data" / "checks"


@dataclass(frozen=True)
class Row:
    """One outside value: its id, what goes in, what should come out, and where that is from."""

    id: str
    input: Any
    expected: Any
    tol: str
    source: str
    status: str
    note: str = ""


@cache
def _file(topic: str) -> tuple[Row, ...]:
    found = json.loads((FOLDER / f"{topic}.json").read_text(encoding="utf-8"))
    return tuple(Row(**row) for row in found)


def rows(topic: str, prefix: str = "") -> tuple[Row, ...]:
    """Return the rows of a topic whose id begins with `prefix`; there is always at least one."""
    found = tuple(row for row in _file(topic) if row.id.startswith(prefix))
    if not found:
        raise LookupError(f"no outside values {topic}/{prefix}")
    return found
