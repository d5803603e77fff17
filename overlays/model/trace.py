"""The logged samples of one channel, and of one file."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

__all__ = ["Column", "FloatArray", "Log", "Note", "Segment", "Trace"]

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Trace:
    """One channel of one run.

    Parameters
    ----------
    channel : str
        The channel's name in the session.
    unit : str
        Unit of `values`.
    time_s : ndarray of shape (N,)
        Strictly increasing, in seconds; after conditioning, 0 is the trigger. Read-only.
    values : ndarray of shape (N,)
        NaN is a gap. Read-only.
    steps : tuple of str
        What conditioning did, each a phrase fit for a footnote: ``"20 Hz zero-phase"``.
    flags : tuple of str
        What a person should look at before trusting the trace, in words: ``"flat at its highest
        value for 0.12 s: is the sensor saturated?"``. Nothing is ever changed because of a flag.
    """

    channel: str
    unit: str
    time_s: FloatArray
    values: FloatArray
    steps: tuple[str, ...] = ()
    flags: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        self.time_s.setflags(write=False)
        self.values.setflags(write=False)


@dataclass(frozen=True, slots=True)
class Note:
    """One assumption made, or line left out, while reading a log.

    Parameters
    ----------
    line : int or None
        Where, from 1.
    message : str
        What was assumed or left out.
    column : str or None
        Name of the column in which something stood that is no number; it was read as a gap.
    """

    line: int | None
    message: str
    column: str | None = None

    @property
    def words(self) -> str:
        """What it says, and in which line."""
        return self.message if self.line is None else f"{self.message} (line {self.line})"


@dataclass(frozen=True, slots=True, eq=False)
class Column:
    """One column of a log as read.

    Parameters
    ----------
    name : str
        Without a unit in brackets.
    unit : str or None
        Its unit, if the file states one.
    values : ndarray of shape (N,)
        NaN where the file has nothing. Read-only.
    written : str
        The header's cell as the file has it.
    rows : ndarray of shape (M,) or None
        Where the channel was sampled more slowly than the rows: the rows of its own samples, a gap
        among them being NaN; what lies between is no gap. None where every row is a sample.
    unsure : bool
        Whether the unit is only the last word of the name, and that word could mean something else.
    """

    name: str
    unit: str | None
    values: FloatArray
    written: str = ""
    rows: NDArray[np.int64] | None = None
    unsure: bool = False

    def __post_init__(self) -> None:
        self.values.setflags(write=False)


@dataclass(frozen=True, slots=True)
class Segment:
    """A stretch between clock resets or repeated headers, by its first line and sample count."""

    first_line: int
    n: int
    seconds: float


@dataclass(frozen=True, slots=True, eq=False)
class Log:
    """What a reader made of one file.

    Parameters
    ----------
    file : str
        The file as the user knows it.
    layout : str
        Which reader read it, such as ``"delimited"``.
    encoding, delimiter, decimal : str or None
        What was found; None where the layout has no such thing.
    header_line : int or None
        Line of the header, counted from 1.
    time_s : ndarray of shape (N,)
        Seconds as the file counts them; from its first stamp where it has dates or times of day.
        Strictly increasing within a segment. Read-only.
    columns : tuple of Column
        The channels, without the time column.
    segments : tuple of Segment
        At least one.
    notes : tuple of Note
        The reading note: every assumption, and every line left out with the reason.
    time : Column
        The time column as the file counts it, in its own unit; where it holds dates or times of
        day, it has no unit and the values of `time_s`. Without a time column, the seconds worked
        out from the rate.
    time_place : int
        Where the time column stands among the file's columns, from 0.
    began : datetime or None
        Date and time of the first row as written, where the file tells.
    """

    file: str
    layout: str
    encoding: str | None
    delimiter: str | None
    decimal: str | None
    header_line: int | None
    time_s: FloatArray
    columns: tuple[Column, ...]
    segments: tuple[Segment, ...]
    notes: tuple[Note, ...]
    time: Column
    time_place: int = 0
    began: datetime | None = None

    def __post_init__(self) -> None:
        self.time_s.setflags(write=False)
