"""Lines of keys, on a document with everything TOML has."""

from __future__ import annotations

import tomllib
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from overlays.session.toml_lines import key_lines

DOCUMENT = '''\
# a = 1
title = "a # no comment"
[one."two".'three']
a = 1 # b = 2
list = [
  "]", # [no table]
  [1, 2],
  { deep = 1 },
]
text = """
[not.a.table]
k = 1
"""
raw = \'\'\'
x = 1
\'\'\'
inline = { x = 1, y = { z = "}" } }
date = 2026-01-02 03:04:05
dotted.key.here = true

[[many]]
a = 1
[[many]]
a = 2
[last]
'''


def test_every_key_has_its_line() -> None:
    """Strings, comments, arrays and inline tables do not lead the scan astray."""
    assert key_lines(DOCUMENT) == {
        "title": 2,
        "one.two.three": 3,
        "one.two.three.a": 4,
        "one.two.three.list": 5,
        "one.two.three.text": 10,
        "one.two.three.raw": 14,
        "one.two.three.inline": 17,
        "one.two.three.inline.x": 17,
        "one.two.three.inline.y": 17,
        "one.two.three.inline.y.z": 17,
        "one.two.three.date": 18,
        "one.two.three.dotted.key.here": 19,
        "many.0": 21,
        "many.0.a": 22,
        "many.1": 23,
        "many.1.a": 24,
        "last": 25,
    }


def test_windows_line_ends_count_once() -> None:
    """A document saved with CR LF has the same lines."""
    assert key_lines(DOCUMENT.replace("\n", "\r\n")) == key_lines(DOCUMENT)


keys = st.text("abcxyz", min_size=1, max_size=3)
scalars = st.sampled_from(["1", '"a = [b]"', "'#'", "[1, [2]]", "true", "{ k = 1 }", '"""\n\n"""'])


@given(st.dictionaries(keys, st.dictionaries(keys, scalars, max_size=3), max_size=4))
def test_lines_agree_with_where_keys_were_written(tables: dict[str, dict[str, str]]) -> None:
    """In any generated document each key is found on the line it was written on."""
    lines: list[str] = []
    expected: dict[str, int] = {}
    for table, pairs in tables.items():
        expected[table] = len("\n".join(lines).split("\n")) + (1 if lines else 0)
        lines.append(f"[{table}]")
        for key, value in pairs.items():
            expected[f"{table}.{key}"] = len("\n".join(lines).split("\n")) + 1
            lines.append(f"{key} = {value}")
    text = "\n".join(lines)
    document: dict[str, Any] = tomllib.loads(text)
    assert set(document) == set(tables)
    found = key_lines(text)
    assert {key: found[key] for key in expected} == expected


def test_text_of_any_letters_is_stepped_over() -> None:
    """The letter n in a text, escapes and quotation marks do not lead the scan astray."""
    text = (
        'title = "One nut, \\"new\\" \\n"\nnote = "n"\n'
        '[next]\nname = \'n"n\'\nlast = "é\\\\"\nz = 1'
    )
    lines = key_lines(text)
    assert lines == {"title": 1, "note": 2, "next": 3, "next.name": 4, "next.last": 5, "next.z": 6}
