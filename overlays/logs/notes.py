"""The reading note: what was assumed, and what was left out and why."""

from __future__ import annotations

from dataclasses import dataclass, field

from overlays.model.trace import Note

__all__ = ["NoteBook"]

_SHOWN = 8
_SINGULAR = {"lines": "line", "cells": "cell", "resets": "reset", "headers": "header"}
_OF_ONE = {"that are no numbers": "that is no number", "that end": "that ends"}


@dataclass(slots=True)
class NoteBook:
    """Collects notes, and sums up where a thing happens over and over.

    Parameters
    ----------
    notes : list of Note
        In the order they were made.
    """

    notes: list[Note] = field(default_factory=list)
    _often: dict[str, list[Note]] = field(default_factory=dict)
    _counts: dict[str, int] = field(default_factory=dict)

    def say(self, message: str, *, line: int | None = None) -> None:
        """Note something that happens once."""
        self.notes.append(Note(line, message))

    def count(self, kind: str, line: int, message: str, *, column: str | None = None) -> None:
        """Note something that may happen on many lines; the first few are listed one by one.

        Parameters
        ----------
        kind : str
            What it is, in the plural: ``"lines with NUL bytes"``.
        line : int
            Where.
        message : str
            What is said of this one.
        column : str, optional
            Where something is no number; see `Note.column`.
        """
        listed = self._often.setdefault(kind, [])
        # The first of every column is kept: what is damaged must be known by name.
        if len(listed) < _SHOWN or column not in {note.column for note in listed}:
            listed.append(Note(line, message, column))
        self._counts[kind] = self._counts.get(kind, 0) + 1

    def spoiled(self) -> set[str]:
        """Return the columns in which something stood that is no number."""
        listed = (note for kind in self._often.values() for note in kind)
        return {note.column for note in listed if note.column is not None}

    def written(self) -> tuple[Note, ...]:
        """Return all notes: what was assumed first, then what happened, by line."""
        happened: list[Note] = []
        for kind, listed in self._often.items():
            happened += listed
            more = self._counts[kind] - len(listed)
            if more > 0:
                what = _single(kind) if more == 1 else kind
                happened.append(Note(listed[-1].line, f"and {more} more {what}"))
        return (*self.notes, *sorted(happened, key=lambda note: note.line or 0))


def _single(kind: str) -> str:
    """Return what is counted, of one: ``line with NUL bytes``."""
    for many, one in _OF_ONE.items():
        kind = kind.replace(many, one)
    return " ".join(_SINGULAR.get(word, word) for word in kind.split())
