"""The error tree, and how a problem is told.

::

    TracereelError
    ├── InputError            something the user wrote or recorded is wrong
    │   ├── SessionError      session.toml, runs.csv, a path that leaves the session
    │   ├── LogError          a logger's file
    │   ├── OutlineError      outline.md, captions
    │   ├── LedgerError       the season's ledger
    │   ├── StyleError        style.toml, fonts, missing glyphs
    │   ├── UnitError         a unit or quantity that cannot be read or converted
    │   ├── TimecodeError     a rate, label or length that does not exist
    │   ├── FigureError       a figure that cannot be worked out
    │   ├── FootageError      a camera file that cannot be read or used
    │   └── ProblemsFound     several of the above, from one pass
    └── WorkError             the work itself failed
        ├── RenderError       drawing or encoding
        └── TurnoverError     writing or proving a turnover

Every error says what was found, what is expected and what to do, and survives the way back from a
worker process.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from typing import Any, Literal

__all__ = [
    "FigureError",
    "FootageError",
    "InputError",
    "LedgerError",
    "LogError",
    "OutlineError",
    "Problem",
    "Problems",
    "ProblemsFound",
    "RenderError",
    "SessionError",
    "StyleError",
    "TimecodeError",
    "TracereelError",
    "TurnoverError",
    "UnitError",
    "WorkError",
]

Level = Literal["error", "warning"]
_LONGEST = 600


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing to tell the user.

    Parameters
    ----------
    level : {"error", "warning"}
        An error stops rendering; a warning does not.
    code : str
        Short and stable, words joined by hyphens, for scripts to match on.
    file : str or None
        The file as the user knows it, relative to the session where it lies inside.
    line : int or None
        Line in the file, counted from 1.
    message : str
        What was found and what is expected; cut where it is very long.
    remedy : str
        What to do.
    """

    level: Level
    code: str
    file: str | None
    line: int | None
    message: str
    remedy: str

    def __post_init__(self) -> None:
        # What was found may be a text of any length; nobody reads on.
        object.__setattr__(self, "message", _short(self.message))
        object.__setattr__(self, "remedy", _short(self.remedy))

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}: " if self.file and self.line else ""
        place = place or (f"{self.file}: " if self.file else "")
        return f"{place}{self.level}: {self.message} {self.remedy}".rstrip()


def _short(text: str) -> str:
    return text if len(text) <= _LONGEST else f"{text[: _LONGEST - 1]}…"


class TracereelError(Exception):
    """Base of every error the project raises on purpose.

    Parameters
    ----------
    message : str
        What is wrong, as a sentence, naming what was found and what is expected.
    code : str
        Short and stable; see `Problem.code`.
    file, line
        Where; see `Problem`.
    field : str, optional
        Dotted path of the field, put in front of the message.
    remedy : str
        What to do, as a sentence.
    """

    def __init__(
        self,
        message: str,
        *,
        code: str,
        remedy: str,
        file: str | None = None,
        line: int | None = None,
        field: str | None = None,
    ) -> None:
        super().__init__(message)
        self.message = message
        self.code = code
        self.remedy = remedy
        self.file = file
        self.line = line
        self.field = field

    def __reduce__(self) -> tuple[Any, ...]:
        # Exceptions with keyword-only arguments do not survive pickling by themselves.
        return (_rebuild, (type(self), self.message, self._details()))

    def _details(self) -> dict[str, Any]:
        names = ("code", "remedy", "file", "line", "field")
        return {name: getattr(self, name) for name in names}

    def at(
        self, *, file: str | None = None, line: int | None = None, field: str | None = None
    ) -> TracereelError:
        """Return the same error with the places filled in that it did not know itself."""
        known = self._details()
        for name, value in (("file", file), ("line", line), ("field", field)):
            known[name] = value if known[name] is None else known[name]
        return _rebuild(type(self), self.message, known)

    def problems(self) -> tuple[Problem, ...]:
        """Return the error as problems to show."""
        text = f"{self.field}: {self.message}" if self.field else self.message
        return (Problem("error", self.code, self.file, self.line, text, self.remedy),)

    def __str__(self) -> str:
        return "\n".join(str(problem) for problem in self.problems())


def _rebuild(kind: type[TracereelError], message: str, details: dict[str, Any]) -> TracereelError:
    return kind(message, **details)


class InputError(TracereelError):
    """Something the user wrote or recorded is wrong."""


class SessionError(InputError):
    """session.toml, runs.csv, or a path that leaves the session."""


class LogError(InputError):
    """A logger's file cannot be read."""


class OutlineError(InputError):
    """The script outline or its captions cannot be understood."""


class LedgerError(InputError):
    """The season's ledger is damaged, or held by someone else."""


class StyleError(InputError):
    """A house style, font or glyph is missing or wrong."""


class UnitError(InputError):
    """A unit or quantity cannot be read or converted."""


class TimecodeError(InputError):
    """A rate, timecode label or length does not exist."""


class FigureError(InputError):
    """A figure cannot be worked out."""


class FootageError(InputError):
    """A camera file cannot be read, or used for what was asked."""


class ProblemsFound(InputError):  # noqa: N818 (it is many, and named so)
    """Several problems found in one pass."""

    def __init__(self, found: Sequence[Problem]) -> None:
        super().__init__(f"{len(found)} problems", code="problems-found", remedy="")
        self.found = tuple(found)

    def __reduce__(self) -> tuple[Any, ...]:
        return (ProblemsFound, (self.found,))

    def problems(self) -> tuple[Problem, ...]:
        """Return the problems found."""
        return self.found


class WorkError(TracereelError):
    """The work itself failed."""


class RenderError(WorkError):
    """Drawing or encoding failed."""


class TurnoverError(WorkError):
    """A turnover could not be written or proved."""


def _placed(problem: Problem, file: str | None, line: int | None) -> Problem:
    """Fill in the places a problem does not know itself; a line goes with its own file only."""
    if problem.file is not None:
        return problem
    return replace(problem, file=file, line=line if problem.line is None else problem.line)


@dataclass(slots=True)
class Problems:
    """Collects problems so that one pass reports them all."""

    found: list[Problem] = field(default_factory=list)

    @contextmanager
    def collecting(
        self, *, file: str | None = None, line: int | None = None, field: str | None = None
    ) -> Iterator[None]:
        """Record a `TracereelError` raised inside, with the places it did not know; go on after.

        A problem found again, such as by every cue that shows the same file, is told once.
        """
        found: tuple[Problem, ...] = ()
        try:
            yield
        except ProblemsFound as error:
            found = tuple(_placed(problem, file, line) for problem in error.problems())
        except TracereelError as error:
            found = error.at(file=file, line=line, field=field).problems()
        self.found.extend(problem for problem in found if problem not in self.found)

    def warn(
        self,
        code: str,
        message: str,
        *,
        remedy: str,
        file: str | None = None,
        line: int | None = None,
    ) -> None:
        """Record a warning."""
        self.found.append(Problem("warning", code, file, line, message, remedy))

    @property
    def errors(self) -> tuple[Problem, ...]:
        """The errors among what was found."""
        return tuple(problem for problem in self.found if problem.level == "error")

    def raise_errors(self) -> None:
        """Raise `ProblemsFound` if any error was recorded.

        Raises
        ------
        ProblemsFound
            With the errors in the order they were found.
        """
        if self.errors:
            raise ProblemsFound(self.errors)
