"""The session as its author declared it: entries, tests, channels, figures, points.

These are the tables of session.toml. Quantities are read from text ("6 s") into `Quantity`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from pathlib import Path
from typing import Literal

from pydantic import Field

from overlays.model.figurespec import AnyFigure, FigureSpec, PairFigure, TraceFigure
from overlays.model.pointspec import AnyPoints, PointsSpec
from overlays.model.run import RunRef
from overlays.model.spec import Key, QuantityField, RateField, Spec, TimeField
from overlays.timecode import Timebase

__all__ = [
    "ChannelSpec",
    "EntrySpec",
    "EpisodeSpec",
    "FigureSpec",
    "FilterSpec",
    "PointsSpec",
    "ReadingPins",
    "Session",
    "SessionSpec",
    "TestSpec",
    "TriggerSpec",
    "ZeroSpec",
]


class ReadingPins(Spec):
    """The table ``[reading]``: what a log says about itself, where it cannot be told by looking.

    Everything is optional. What is given here is taken as it is instead of being found out; the
    reading note of a log shows what was found, in the same words. A test may have its own table
    ``[tests.KEY.reading]``, whose keys win.
    """

    encoding: str | None = None
    delimiter: Literal[",", ";", "\t", " ", "|"] | None = None
    decimal: Literal[".", ","] | None = None
    header_line: int | None = Field(default=None, ge=1)
    time_column: str | None = None
    time_kind: (
        Literal["elapsed", "time of day", "date", "serial day", "since 1970", "row number"] | None
    ) = None
    time_unit: Literal["s", "ms", "us", "ns", "min", "h", "day"] | None = None
    time_fields: Literal["hours:minutes", "minutes:seconds"] | None = None
    date_order: Literal["day first", "month first", "year first"] | None = None
    zone: str | None = None
    rate: QuantityField | None = None
    same_stamp: Literal["keep first", "spread"] | None = None
    segment: int | None = Field(default=None, ge=1)
    sheet: str | None = None
    group: int | None = Field(default=None, ge=0)

    def over(self, under: ReadingPins) -> ReadingPins:
        """Return these pins, with those of `under` where these say nothing."""
        said = {name: getattr(self, name) for name in type(self).model_fields}
        return under.model_copy(update={k: v for k, v in said.items() if v is not None})


class EpisodeSpec(Spec):
    """The table ``[episode]``."""

    title: str
    season: str = ""
    number: int = Field(default=1, ge=1)
    date: date
    rate: RateField = Field(default="30000/1001", validate_default=True)
    timecode: Literal["drop", "non-drop"] | None = None
    start: str = "01:00:00:00"
    canvas: tuple[int, int] = (1920, 1080)
    style: str = "rule"
    handles: tuple[int, int] = (12, 12)
    ledger: str | None = None
    speaking_rate: QuantityField = Field(default="150/min", validate_default=True)
    decimal_mark: Literal[".", ","] = "."
    cautions: tuple[str, ...] = ()

    @property
    def timebase(self) -> Timebase:
        """Rate and counting; drop-frame by default where the rate knows it."""
        drop = self.timecode == "drop" or (
            self.timecode is None and self.rate in (Fraction(30000, 1001), Fraction(60000, 1001))
        )
        return Timebase(self.rate, drop)


class EntrySpec(Spec):
    """A table ``[entries.KEY]``: one thing in the comparison."""

    name: str
    short: str = ""
    note: str = ""
    attributes: Mapping[Key, QuantityField] = {}

    @property
    def label(self) -> str:
        """The short name where there is one."""
        return self.short or self.name


class ChannelSpec(Spec):
    """A table ``[channels.KEY]``: one logged quantity."""

    label: str
    column: str
    unit: str
    show: str = ""
    places: int = Field(default=1, ge=0, le=6)

    @property
    def shown_unit(self) -> str:
        """The unit on screen."""
        return self.show or self.unit


class ZeroSpec(Spec):
    """The window before the trigger that counts as zero, in time from the trigger."""

    start: TimeField
    end: TimeField
    channels: tuple[Key, ...]


class TriggerSpec(Spec):
    """Where time 0 lies: the channel passes `level`, having been past `rearm` before."""

    channel: Key
    level: QuantityField
    rearm: QuantityField
    edge: Literal["rising", "falling"] = "rising"


class FilterSpec(Spec):
    """A filter on one channel."""

    kind: Literal["butterworth"]
    cutoff: QuantityField
    order: int = Field(default=4, ge=1, le=8)


class TestSpec(Spec):
    """A table ``[tests.KEY]``: one procedure."""

    __test__ = False  # pytest would collect a class of this name

    label: str
    length: TimeField
    repeats: int = Field(default=3, ge=1, le=100)
    channels: tuple[Key, ...]
    main: Key
    reading: ReadingPins = ReadingPins()
    trigger: TriggerSpec | None = None
    zero: ZeroSpec | None = None
    filters: Mapping[Key, FilterSpec] = {}
    files: str = ""
    counts: str = ""


class SessionSpec(Spec):
    """The whole of session.toml."""

    episode: EpisodeSpec
    reading: ReadingPins = ReadingPins()
    entries: Mapping[Key, EntrySpec]
    channels: Mapping[Key, ChannelSpec]
    tests: Mapping[Key, TestSpec]
    figures: Mapping[Key, AnyFigure] = {}
    points: Mapping[Key, AnyPoints] = {}

    def parts_of(self, figure: str) -> tuple[str, ...]:
        """Return the figures that a figure is directly made of."""
        spec = self.figures.get(figure)
        parts = (spec.of, spec.by) if isinstance(spec, PairFigure) else ()
        return tuple(part for part in parts if part in self.figures)

    def tests_of(self, figure: str) -> frozenset[str]:
        """Return the tests that a figure is taken from in the end."""
        tests: set[str] = set()
        todo, seen = [figure], {figure}
        while todo:
            key = todo.pop()
            spec = self.figures.get(key)
            if isinstance(spec, TraceFigure):
                tests.add(spec.test)
            new = [part for part in self.parts_of(key) if part not in seen]
            seen.update(new)
            todo += new
        return frozenset(tests)


@dataclass(frozen=True, slots=True)
class Session:
    """A session folder, read and validated.

    Parameters
    ----------
    folder : Path
        The session's folder.
    spec : SessionSpec
        session.toml.
    runs : tuple of RunRef
        Every run found, used or not, in the order of runs.csv or of the file names.
    lines : Mapping[str, int]
        Line of each dotted key of session.toml, for messages.
    """

    folder: Path
    spec: SessionSpec
    runs: tuple[RunRef, ...]
    lines: Mapping[str, int]

    def pins(self, test: str) -> ReadingPins:
        """Return what is pinned for the logs of a test: its own table over the session's."""
        return self.spec.tests[test].reading.over(self.spec.reading)

    def line(self, *path: object) -> int | None:
        """Return the line of a key or of the nearest table around it."""
        parts = [str(part) for part in path]
        while parts:
            if (line := self.lines.get(".".join(parts))) is not None:
                return line
            parts.pop()
        return None
