"""The overlay kinds there are, found by looking at the files of this package."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
from collections.abc import Iterable, Mapping
from dataclasses import fields
from functools import cache
from types import MappingProxyType
from typing import Any

from pydantic import TypeAdapter, ValidationError

from overlays import kinds as package
from overlays.errors import OutlineError, Problem, ProblemsFound
from overlays.kinds.base import Overlay
from overlays.model.outline import Cue
from overlays.model.session import Session
from overlays.session.validation import closest, words_for

__all__ = ["build", "kinds"]

_NOT_KINDS = frozenset({"base", "registry", "staging"})


def kinds() -> Mapping[str, type[Overlay[Any]]]:
    """Return every overlay kind by its name, in order of name.

    A kind is found by its file: every module of ``overlays.kinds`` that does not begin with an
    underscore is looked into for subclasses of `Overlay` of its own.
    """
    return _kinds_in(tuple(package.__path__))


@cache
def _kinds_in(folders: tuple[str, ...]) -> Mapping[str, type[Overlay[Any]]]:
    found: dict[str, type[Overlay[Any]]] = {}
    for module in pkgutil.iter_modules(folders):
        if module.name in _NOT_KINDS or module.name.startswith("_"):
            continue
        loaded = importlib.import_module(f"{package.__name__}.{module.name}")
        for _, kind in inspect.getmembers(loaded, inspect.isclass):
            if issubclass(kind, Overlay) and kind.__module__ == loaded.__name__:
                found[kind.kind] = kind
    return MappingProxyType(dict(sorted(found.items())))


@cache
def _adapter(kind: type[Overlay[Any]]) -> TypeAdapter[Any]:
    return TypeAdapter(kind)


def build(cue: Cue, session: Session) -> Overlay[Any]:
    """Turn a cue's options into its overlay.

    Parameters
    ----------
    cue : Cue
        As the outline has it.
    session : Session
        Whose entries, tests and figures the options may name.

    Raises
    ------
    OutlineError
        If there is no such kind.
    ProblemsFound
        If options are unknown, missing, of the wrong type, name an entry, test, figure or points
        column that the session has not, or a place the kind cannot take; every one with its line.
    """
    known = kinds()
    if cue.kind not in known:
        raise OutlineError(
            f"there is no overlay kind {cue.kind!r}.",
            code="unknown-kind",
            line=cue.line,
            remedy=f"{closest(cue.kind, list(known))} Write the kind after the word cue.",
        )
    kind = known[cue.kind]
    try:
        overlay: Overlay[Any] = _adapter(kind).validate_python(dict(cue.options))
    except ValidationError as error:
        raise ProblemsFound(_problems(error, cue, kind)) from error
    found = (
        *_misplaced(cue, overlay),
        *(
            problem
            for option, names, table in overlay.names()
            for problem in _unknown(cue, option, names, table, session)
        ),
    )
    if found:
        raise ProblemsFound(found)
    return overlay


def _misplaced(cue: Cue, overlay: Overlay[Any]) -> Iterable[Problem]:
    if overlay.place is None or overlay.place in overlay.places:
        return
    yield Problem(
        "error",
        "bad-place",
        None,
        cue.option_lines.get("place", cue.line),
        f"place: found {overlay.place!r}; the kind {cue.kind!r} fills the picture from side to "
        f"side and can take: {', '.join(overlay.places) or 'none'}.",
        "Choose one of these, or take place out: the kind has one of its own.",
    )


def _unknown(
    cue: Cue, option: str, names: Iterable[str], table: str, session: Session
) -> Iterable[Problem]:
    known: Mapping[str, Any] = getattr(session.spec, table)
    for name in names:
        if name not in known:
            yield Problem(
                "error",
                f"unknown-{table.removesuffix('s').replace('entrie', 'entry')}",
                None,
                cue.option_lines.get(option, cue.line),
                f"{option}: session.toml has no [{table}.{name}].",
                closest(name, list(known)),
            )


def _problems(error: ValidationError, cue: Cue, kind: type[Overlay[Any]]) -> tuple[Problem, ...]:
    options = [field.name for field in fields(kind)]
    found: list[Problem] = []
    for detail in error.errors(include_url=False):
        option = str(detail["loc"][0]) if detail["loc"] else ""
        line = cue.option_lines.get(option, cue.line)
        where = ".".join(str(part) for part in detail["loc"])
        if detail["type"] in ("unexpected_keyword_argument", "extra_forbidden"):
            message = f"{option}: the kind {cue.kind!r} has no such option."
            remedy = closest(option, options)
            code = "unknown-option"
        elif detail["type"] in ("missing", "missing_keyword_only_argument"):
            message = f"{option}: the kind {cue.kind!r} needs this option."
            remedy, code = "Add it to the cue.", "missing-option"
        else:
            code, said, remedy = words_for(detail)
            message = f"{where}: {said}"
        found.append(Problem("error", code, None, line, message, remedy))
    return tuple(found)
