"""Every option of session.toml on one page, made from the tables that read it."""

from __future__ import annotations

import inspect
import types
import typing
from collections.abc import Iterator
from typing import Any, Literal

from pydantic.fields import FieldInfo

from overlays.model.spec import Spec

__all__ = ["options_page"]

_HEAD = """\
# Options of session.toml

Made from the code that reads them; a test fails where this page is behind. `KEY` stands for a name
of your own: lower-case letters, digits and `_`. Quantities are text with their unit, `"6 s"`. What
has no default is needed; `–` means that nothing is assumed.
"""
_ORDER = (
    "SessionSpec", "EpisodeSpec", "ReadingPins", "EntrySpec", "ChannelSpec", "InstrumentSpec",
    "TestSpec", "TriggerSpec", "ZeroSpec", "GapSpec", "SpikeSpec", "AcceptSpec", "FilterSpec",
    "FigureSpec", "LimitSpec", "PointsSpec", "StandingsSpec", "WaiverSpec",
)  # fmt: skip
_TAGS = ("take", "rule", "kind")


def options_page() -> str:
    """Return a page of Markdown that tells every table of session.toml and every key in it."""
    sections = ("\n".join(_section(table)) + "\n" for table in _tables())
    return "\n".join([_HEAD, *sections])


def _tables() -> Iterator[type[Spec]]:
    """Yield the tables in the order of a session, each followed by what it comes as."""
    found = {table.__name__: table for table in _ours(Spec)}
    names = [name for name in _ORDER if name in found]
    for name in [*names, *(name for name in found if name not in names)]:
        yield from _with_forms(found[name])


def _with_forms(table: type[Spec]) -> Iterator[type[Spec]]:
    yield table
    for form in _ours(table):
        yield from _with_forms(form)


def _ours(table: type[Spec]) -> list[type[Spec]]:
    """Return the tables made from one, without those that somebody else has made."""
    return [one for one in table.__subclasses__() if one.__module__.startswith("overlays.")]


def _section(table: type[Spec]) -> Iterator[str]:
    said = " ".join((inspect.getdoc(table) or "").split("\n\n")[0].split()).replace("``", "`")
    base = _forms_of(table)
    own = {name: table.model_fields[name] for name in inspect.get_annotations(table)
           if name in table.model_fields}  # fmt: skip
    tag = next((name for name in _TAGS if name in own and base is not None), None)
    chosen = _choices(own[tag].annotation) if tag else []
    head = " or ".join(f"`{tag} = {word}`" for word in chosen)
    if base is None:
        yield f"## {said}"
    else:
        yield f"### {head}: {said}" if head else f"### {said}"
    extra = next(iter((inspect.getdoc(table) or "").split("\n\n")[1:]), "")
    if extra:
        yield ""
        yield " ".join(extra.split()).replace("``", "`")
    rows = [(name, field) for name, field in own.items() if name != tag]
    if rows:
        yield ""
        yield "| key | default | what it says |"
        yield "|---|---|---|"
    for name, field in rows:
        yield f"| `{name}` | {_default(field)} | {_said(field)} |"


def _forms_of(table: type[Spec]) -> type[Spec] | None:
    """Return the table that this one is a form of; None where it stands for itself."""
    parent = table.__mro__[1]
    return None if parent is Spec else parent


def _said(field: FieldInfo) -> str:
    text = " ".join((field.description or "").split())
    choices = _choices(field.annotation)
    known = [choice for choice in choices if choice not in text]
    if known:
        listed = ", ".join(f"`{choice}`" for choice in choices)
        text = f"{text} {'One of' if len(choices) > 1 else 'Only'} {listed}."
    return text.replace("|", "\\|").strip()


def _choices(annotation: Any) -> list[str]:  # noqa: ANN401 (what pydantic keeps)
    origin = typing.get_origin(annotation)
    if origin is Literal:
        return [_toml(word) for word in typing.get_args(annotation)]
    if origin in {typing.Union, types.UnionType}:
        return [word for part in typing.get_args(annotation) for word in _choices(part)]
    return []


def _default(field: FieldInfo) -> str:
    if field.is_required():
        return ""
    value = field.default
    if isinstance(value, Spec) or (not value and value is not False and value != 0):
        return "–"
    return f"`{_toml(value)}`"


def _toml(value: object) -> str:
    match value:
        case bool():
            return str(value).lower()
        case tuple():
            return f"[{', '.join(map(_toml, value))}]"
        case str():
            return f'"{value}"'.replace("\t", "\\t")
        case _:
            return str(value)
