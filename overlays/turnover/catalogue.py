"""The styles and overlay kinds there are, told on a page of text."""

from __future__ import annotations

import inspect
import re
from dataclasses import MISSING, Field, fields
from pathlib import Path
from typing import Any

from overlays.kinds.base import Overlay
from overlays.kinds.registry import kinds
from overlays.style.house import load_style, style_names

__all__ = ["catalogue", "kind_title", "option_notes", "own_options"]


def catalogue(session: Path | None = None) -> str:
    """List the house styles, and the overlay kinds with their options.

    Parameters
    ----------
    session : Path, optional
        A session's folder, whose own styles are listed too.

    Raises
    ------
    StyleError
        If a style cannot be read.
    ProblemsFound
        If a style's tokens are wrong.
    """
    root = None if session is None else session / "styles"
    names = style_names(root)
    wide = max((len(name) for name in names), default=0)
    lines = ["Styles ([episode] style = …)"]
    for name in names:
        style = load_style(name, root)
        lines.append(f"  {name:<{wide}}  {style.title} ({style.ground} panels)")
    lines += ["", "Options of every overlay kind", *_options(Overlay)]  # type: ignore[type-abstract]
    lines += ["", "Overlay kinds (```cue KIND); a star marks an option that is needed"]
    for name, kind in kinds().items():
        lines += [f"  {name}: {kind_title(kind)}", *_options(kind), *_places(kind)]
    return "\n".join(lines) + "\n"


def kind_title(kind: type[Overlay[Any]]) -> str:
    """Return the first paragraph of a kind's docstring."""
    return " ".join((inspect.getdoc(kind) or "").split("\n\n")[0].split())


def option_notes(kind: type[Overlay[Any]]) -> dict[str, str]:
    """Return what a kind's docstring says of each option: *Parameters*, as numpydoc writes them."""
    found: dict[str, str] = {}
    section = (inspect.getdoc(kind) or "").partition("Parameters\n----------\n")[2]
    named: list[str] = []
    for line in section.splitlines():
        head = re.match(r"(\w+(?:, \w+)*) : ", line)
        if head:
            named = head[1].split(", ")
            found |= dict.fromkeys(named, "")
        elif line.startswith(" ") or not line:
            for name in named:
                found[name] = f"{found[name]} {line.strip()}".strip()
        else:
            break  # the next section
    # reStructuredText's double backticks are for those who read the code.
    return {name: note.replace("``", "`") for name, note in found.items()}


def _places(kind: type[Overlay[Any]]) -> list[str]:
    """Say which places a kind can take, where it cannot take all."""
    if kind.places == Overlay.places:
        return []
    return [f"    place: {', '.join(kind.places) or 'none'}"]


def own_options(kind: type[Overlay[Any]]) -> tuple[Field[Any], ...]:
    """Return the options that a kind has besides those of every kind."""
    common = set() if kind is Overlay else {option.name for option in fields(Overlay)}
    return tuple(option for option in fields(kind) if option.name not in common)


def _options(kind: type[Overlay[Any]]) -> list[str]:
    notes = option_notes(kind)
    lines: list[str] = []
    for option in own_options(kind):
        needed = option.default is MISSING and option.default_factory is MISSING
        lines.append(
            f"    {option.name}{'*' if needed else ''}: {notes.get(option.name, '')}".rstrip()
        )
    return lines
