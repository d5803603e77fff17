"""The developers' page on threats and limits says what is so: its tests exist, its numbers hold."""

from __future__ import annotations

import ast
import importlib
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
SECTION = PAGE.split("## Threat model and limits\n")[1].split("\n## ")[0]


def rows(heading: str) -> list[list[str]]:
    """Return the cells of the table that begins with a heading."""
    table = SECTION.split(f"| {heading} |")[1].split("\n\n")[0].split("\n")[2:]
    return [[cell.strip() for cell in line.strip("|").split(" | ")] for line in table]


THREATS = rows("what a stranger could try")
LIMITS = rows("limit")


def test_every_line_is_read() -> None:
    """About as many lines as there are ways in, each with what happens and a test of it."""
    assert len(THREATS) >= 25
    assert len(LIMITS) >= 25
    assert all(len(row) == 3 and all(row) for row in THREATS + LIMITS)


@pytest.mark.parametrize("threat", THREATS, ids=[row[0][:40] for row in THREATS])
def test_each_threat_has_a_test_that_exists(threat: list[str]) -> None:
    """The named file has a test of that name, and the test asserts something."""
    names = re.findall(r"`(tests/[\w/]+\.py)::(\w+)`", threat[2])
    assert names
    assert "".join(f"`{file}::{name}`" for file, name in names) == threat[2].replace(" ", "")
    for file, name in names:
        tree = ast.parse((ROOT / file).read_text(encoding="utf-8"))
        found = [part for part in tree.body if getattr(part, "name", "") == name]
        assert len(found) == 1, f"{file}::{name}"
        holds = ast.dump(found[0])
        assert "Assert(" in holds or "raises" in holds


@pytest.mark.parametrize("limit", LIMITS, ids=[row[0][:40] for row in LIMITS])
def test_each_limit_is_the_number_in_the_code(limit: list[str]) -> None:
    """The number on the page is the constant's."""
    module, _, name = limit[2].strip("`").rpartition(".")
    assert getattr(importlib.import_module(module), name) == int(limit[1].replace(",", ""))
