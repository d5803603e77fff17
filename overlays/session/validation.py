"""What pydantic found wrong with a document, told in our words with the line it stands on."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from datetime import date
from typing import Any

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from overlays.errors import Problem
from overlays.numbers import counted

__all__ = ["closest", "problems_of", "words_for"]

Lines = Mapping[str, int]
_Loc = tuple[int | str, ...]


def closest(word: str, known: Sequence[str]) -> str:
    """Say what may have been meant: ``Did you mean 'cold_mean'?``, else what is known."""
    # Loaded only once something is wrong, so that a good session opens faster.
    from rapidfuzz import fuzz, process

    found = process.extractOne(word.casefold(), known, scorer=fuzz.ratio, score_cutoff=60)
    if found is not None:
        return f"Did you mean {found[0]!r}?"
    return f"Known are: {', '.join(known)}." if known else "There are none."


def problems_of(
    error: ValidationError,
    document: type[BaseModel],
    *,
    file: str,
    lines: Lines,
    files: Mapping[str, str] | None = None,
) -> tuple[Problem, ...]:
    """Tell every fault of a document.

    Parameters
    ----------
    error : ValidationError
        What pydantic raised.
    document : type of BaseModel
        The model that was to be read.
    file : str
        The document as the user knows it.
    lines : Mapping[str, int]
        From `overlays.session.toml_lines.key_lines`.
    files : Mapping[str, str], optional
        File of each top-level table that stands elsewhere.
    """
    schema = document.model_json_schema()
    found = [_problem(fault, schema, lines, file, files or {}) for fault in error.errors()]
    # A misspelt key is one fault, though the right one is then missing too.
    meant = {problem.remedy for problem in found if problem.code == "unknown-key"}
    fields = {problem.message.partition(": ")[0] for problem in found}
    return tuple(problem for problem in found if not _follows(problem, meant, fields))


def _follows(problem: Problem, meant: set[str], fields: set[str]) -> bool:
    """Say whether a fault only follows from another one that is told."""
    if problem.code == "missing-key":
        return f"Did you mean {_key_named(problem)}?" in meant
    field = problem.message.partition(": ")[0]
    return problem.code == "bad-length" and any(f.startswith(f"{field}.") for f in fields)


def _key_named(problem: Problem) -> str:
    return problem.remedy.removeprefix("Add ").removesuffix(".")


def _problem(
    fault: ErrorDetails, schema: dict[str, Any], lines: Lines, file: str, files: Mapping[str, str]
) -> Problem:
    path, table = _walk(fault["loc"], schema)
    code, message, remedy = _TOLD.get(fault["type"], _any)(fault, path, table)
    field = ".".join(path)
    file = files.get(path[0], file) if path else file
    return Problem("error", code, file, _line(path, lines), f"{field}: {message}", remedy)


def _line(path: Sequence[str], lines: Lines) -> int | None:
    for end in range(len(path), 0, -1):
        key = ".".join(path[:end])
        # A table written as an array has no line of its own, but its first item has.
        line = lines.get(key, lines.get(f"{key}.0"))
        if line is not None:
            return line
    return None


def _walk(loc: _Loc, schema: dict[str, Any]) -> tuple[list[str], dict[str, Any]]:
    """Return the path as the user wrote it, and the schema of the table around its last part.

    pydantic puts the tag of a union (``mean``) into the path; the user never wrote it there.
    """
    path: list[str] = []
    node, around = schema, schema
    for part in loc:
        node = _resolve(node, schema)
        if "oneOf" in node:
            node = _resolve({"$ref": node["discriminator"]["mapping"].get(part, "")}, schema)
            around = node
            continue
        if part == "[key]":
            continue
        around = node
        path.append(str(part))
        node = node.get("properties", {}).get(part) or node.get("additionalProperties") or {}
        if not isinstance(node, dict):
            node = {}
        if isinstance(part, str) and "patternProperties" in around:
            node = next(iter(around["patternProperties"].values()))
    return path, around


def _resolve(node: dict[str, Any], schema: dict[str, Any]) -> dict[str, Any]:
    if "anyOf" in node:  # a table that may be left out
        node = next((form for form in node["anyOf"] if "$ref" in form), node)
    while (name := node.get("$ref")) is not None:
        found: dict[str, Any] = schema.get("$defs", {}).get(name.rpartition("/")[2], {})
        node = found
    return node


_Told = tuple[str, str, str]


def words_for(fault: ErrorDetails) -> _Told:
    """Return code, message and remedy of a fault that stands alone, outside of any schema."""
    return _TOLD.get(fault["type"], _any)(fault, [str(part) for part in fault["loc"]], {})


def _ours(fault: ErrorDetails, _path: list[str], _table: dict[str, Any]) -> _Told:
    context = fault["ctx"]
    return context["code"], fault["msg"], context["remedy"]


def _missing(_fault: ErrorDetails, path: list[str], _table: dict[str, Any]) -> _Told:
    key = path[-1]
    if key.isdigit():
        place = int(path.pop()) + 1
        return "too-few-values", f"the list has no value {place}.", f"Write {place} values or more."
    return "missing-key", f"the key {key!r} is missing.", f"Add {key!r}."


def _unknown(_fault: ErrorDetails, path: list[str], table: dict[str, Any]) -> _Told:
    key = path[-1]
    remedy = closest(key, sorted(table.get("properties", {})))
    return "unknown-key", f"{key!r} is not a key that belongs here.", remedy


def _bad_tag(fault: ErrorDetails, path: list[str], _table: dict[str, Any]) -> _Told:
    context = fault["ctx"]
    key, found = context["discriminator"].strip("'"), context["tag"]
    path.append(key)
    known = [word.strip().strip("'") for word in context["expected_tags"].split(",")]
    return f"unknown-{key}", f"{found!r} is not a {key} that is known.", closest(found, known)


def _no_tag(fault: ErrorDetails, path: list[str], _table: dict[str, Any]) -> _Told:
    key = fault["ctx"]["discriminator"].strip("'")
    path.append(key)
    return "missing-key", f"the key {key!r} is missing.", f"Add {key!r}."


def _choice(fault: ErrorDetails, _path: list[str], _table: dict[str, Any]) -> _Told:
    expected = fault["ctx"]["expected"]
    remedy = closest(str(fault["input"]), re.findall(r"'([^']{2,})'", expected))
    remedy = remedy if remedy.startswith("Did") else "Choose one of these."
    return "bad-choice", f"found {fault['input']!r}; expected {expected}.", remedy


def _bad_key(fault: ErrorDetails, _path: list[str], _table: dict[str, Any]) -> _Told:
    message = (
        f"{fault['input']!r} cannot be a key; expected a lower-case letter, then lower-case "
        "letters, digits and '_', 40 at most."
    )
    return "bad-key", message, "Rename the key; the name shown on screen is free."


def _length(fault: ErrorDetails, _path: list[str], _table: dict[str, Any]) -> _Told:
    context = fault["ctx"]
    most = context.get("max_length")
    expected = f"at most {most}" if most is not None else f"at least {context['min_length']}"
    found = counted(context["actual_length"], "value")
    message = f"the list has {found}; expected {expected}."
    return "bad-length", message, "Add or take out values."


def _bound(fault: ErrorDetails, path: list[str], table: dict[str, Any]) -> _Told:
    node = table.get("properties", {}).get(path[-1], {})
    forms = [node, *node.get("anyOf", ())]
    low = next((form["minimum"] for form in forms if "minimum" in form), None)
    high = next((form["maximum"] for form in forms if "maximum" in form), None)
    (kind, bound), *_ = fault["ctx"].items()
    words = {
        "ge": "{:g} or more",
        "le": "{:g} or less",
        "gt": "more than {:g}",
        "lt": "less than {:g}",
    }
    expected = words[kind].format(bound)
    if low is not None and high is not None:
        expected = f"a number from {low:g} to {high:g}"
    return "bad-value", f"found {fault['input']!r}; expected {expected}.", f"Write {expected}."


# What pydantic expects, by the beginning of its fault's name, in the words of a session's author.
_EXPECTED = {
    "tuple": "a list in square brackets",
    "list": "a list in square brackets",
    "dict": "a table",
    "model": "a table",
    "string": "text in quotation marks",
    "int": "a whole number",
    "float": "a number",
    "bool": "true or false",
    "date": "a date such as 2026-03-21, without quotation marks",
}


def _any(fault: ErrorDetails, _path: list[str], _table: dict[str, Any]) -> _Told:
    said = str(fault["msg"]).removeprefix("Input should be ").removeprefix("Value error, ")
    said = _EXPECTED.get(fault["type"].partition("_")[0], said)
    value = fault["input"]
    found = str(value) if isinstance(value, date) else repr(value)
    found = found if len(found) <= 60 else found[:57] + "…"
    return "bad-value", f"found {found}; expected {said}.", f"Write {said} there."


_TOLD: Mapping[str, Callable[[ErrorDetails, list[str], dict[str, Any]], _Told]] = {
    "told": _ours,
    "missing": _missing,
    "too_long": _length,
    "too_short": _length,
    "extra_forbidden": _unknown,
    "union_tag_invalid": _bad_tag,
    "union_tag_not_found": _no_tag,
    "literal_error": _choice,
    "greater_than": _bound,
    "greater_than_equal": _bound,
    "less_than": _bound,
    "less_than_equal": _bound,
    "string_pattern_mismatch": _bad_key,
}
