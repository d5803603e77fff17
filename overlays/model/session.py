"""The session as its author declared it: entries, tests, channels, figures, points.

These are the tables of session.toml. Quantities are read from text ("6 s") into `Quantity`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction
from pathlib import Path
from typing import Literal

from pydantic import Field

from overlays.model.clip import MotionChoice
from overlays.model.conditionspec import (
    AnyFilter,
    FilterSpec,
    GapSpec,
    SpikeSpec,
    TriggerSpec,
    ZeroSpec,
)
from overlays.model.figurespec import AnyFigure, FigureSpec, PairFigure, TraceFigure
from overlays.model.footagespec import FootageSpec
from overlays.model.pointspec import AnyPoints, PointsSpec
from overlays.model.readingspec import ReadingPins
from overlays.model.run import RunRef
from overlays.model.spec import (
    LONGEST_TEXT,
    AmountField,
    Key,
    PositiveField,
    QuantityField,
    RateField,
    ShownText,
    SpanField,
    Spec,
)
from overlays.model.trustspec import AcceptSpec, InstrumentSpec, StandingsSpec
from overlays.model.waiverspec import WaiverSpec
from overlays.timecode import Timebase

__all__ = [
    "MOST_TABLES",
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

MOST_TABLES = 200
"""Of any sort: entries, channels, tests, figures, points columns, waivers."""


class EpisodeSpec(Spec):
    """The table ``[episode]``."""

    title: ShownText
    """What the episode is called."""
    season: ShownText = ""
    """What the season is called."""
    number: int = Field(default=1, ge=1)
    """Number of the episode in its season; the ledger counts by it."""
    date: date
    """Date of the episode."""
    rate: RateField = Field(default="30000/1001", validate_default=True)
    """Frames per second, exactly: "25", "30000/1001"."""
    timecode: Literal["drop", "non-drop"] | None = None
    """How labels are counted; drop-frame by default where the rate has it."""
    start: str = "01:00:00:00"
    """Timecode of the first frame."""
    canvas: tuple[int, int] = (1920, 1080)
    """Width and height in pixels."""
    style: Key = "rule"
    """Name of the house style."""
    motion: MotionChoice = "full"
    """How overlays come: "full", or "reduced", where nothing slides, panels and labels are there at
    once, and only curves and readouts go along with the test."""
    handles: tuple[int, int] = (12, 12)
    """Extra frames before and after each cue."""
    ledger: str | None = None
    """The season's ledger, such as "../ledger.csv"."""
    rules: str | None = None
    """The season's rules, such as "../rules.toml": its points and standings for every episode."""
    logo: str | None = Field(default=None, max_length=LONGEST_TEXT)
    """The programme's logo, such as "pictures/logo.png"; a PNG, JPEG, WebP or TIFF."""
    speaking_rate: PositiveField = Field(default="150/min", validate_default=True)
    """Words per minute, by which beats without times are as long as their text."""
    decimal_mark: Literal[".", ","] = "."
    """The decimal mark on screen."""
    cautions: tuple[ShownText, ...] = Field(default=(), max_length=50)
    """Cautions for whoever works at the bench."""

    @property
    def where(self) -> str:
        """Season, number and date, as they stand under a heading."""
        parts = (self.season, f"episode {self.number}", self.date.isoformat())
        return " · ".join(filter(None, parts))

    @property
    def timebase(self) -> Timebase:
        """Rate and counting; drop-frame by default where the rate knows it."""
        drop = self.timecode == "drop" or (
            self.timecode is None and self.rate in (Fraction(30000, 1001), Fraction(60000, 1001))
        )
        return Timebase(self.rate, drop)


class EntrySpec(Spec):
    """A table ``[entries.KEY]``: one thing in the comparison."""

    name: ShownText
    """What the entry is called on screen."""
    short: ShownText = ""
    """A shorter name for narrow places."""
    note: ShownText = ""
    """A remark on what it is."""
    picture: str | None = Field(default=None, max_length=LONGEST_TEXT)
    """What it looks like, such as "pictures/alder.png"; a PNG, JPEG, WebP or TIFF."""
    attributes: Mapping[Key, QuantityField] = Field(default={}, max_length=50)
    """What is known without a test: price, mass, what is claimed."""

    @property
    def label(self) -> str:
        """The short name where there is one."""
        return self.short or self.name


class ChannelSpec(Spec):
    """A table ``[channels.KEY]``: one logged quantity."""

    label: ShownText
    """What the quantity is called on screen."""
    column: ShownText
    """Heading of its column in the logs."""
    unit: str
    """The unit it is logged in."""
    show: str = ""
    """The unit it is shown in; the logged one where it is left out."""
    places: int = Field(default=1, ge=0, le=6)
    """Decimals shown."""
    missing: tuple[QuantityField, ...] = Field(default=(), max_length=50)
    """Values that the logger writes where it has none, such as "-9999 N"; they become gaps."""
    limits: tuple[QuantityField, QuantityField] | None = None
    """What the sensor can show, lowest and highest; readings at a limit are flagged."""
    blanks: Literal["auto", "gaps", "straight", "hold"] = "auto"
    """What blank cells mean: gaps, or the time between the samples of a slower channel, drawn as a
    straight line or held; by default a straight line where the samples come at regular rows."""
    instrument: InstrumentSpec | None = None
    """What the sensor's data sheet or calibration says."""

    @property
    def shown_unit(self) -> str:
        """The unit on screen."""
        return self.show or self.unit


class TestSpec(Spec):
    """A table ``[tests.KEY]``: one procedure."""

    __test__ = False  # pytest would collect a class of this name

    label: ShownText
    """What the test is called on screen."""
    length: SpanField
    """How long a run is, from its trigger."""
    repeats: int = Field(default=3, ge=1, le=100)
    """How many runs of each entry are planned."""
    channels: tuple[Key, ...] = Field(max_length=MOST_TABLES)
    """The channels that are logged; the first one is drawn by default."""
    main: Key
    """The figure whose median run is shown."""
    heard: Key | None = None
    """The channel that the bench's sound follows, for finding a run in footage; by default the
    first one."""
    reading: ReadingPins = ReadingPins()
    """What is pinned about this test's logs, over the session's own table."""
    trigger: TriggerSpec | None = None
    """Where time 0 lies; the first sample without it."""
    zero: ZeroSpec | None = None
    """The window that counts as zero."""
    gaps: GapSpec = GapSpec()
    """What becomes of gaps."""
    jitter: AmountField = Field(default="5 %", validate_default=True)
    """Share of the usual step by which nineteen of twenty steps between samples may differ; beyond
    that the trace is flagged, and put on an even grid before a filter."""
    spikes: Mapping[Key, SpikeSpec] = {}
    """How spikes are found, by channel."""
    filters: Mapping[Key, AnyFilter] = {}
    """Filters, by channel."""
    files: str = Field(default="", max_length=LONGEST_TEXT)
    """Where the logs are without runs.csv: "logs/{entry}_{test}_{repeat}.csv"."""
    counts: ShownText = ""
    """What counts in this test, in words for viewers."""
    method: ShownText = ""
    """How this test is done, in words for viewers."""
    caution: ShownText = ""
    """What viewers, and whoever runs this test, must beware of."""
    accept: AcceptSpec | None = None
    """When the repeats are good enough."""


class SessionSpec(Spec):
    """The whole of session.toml."""

    episode: EpisodeSpec
    """What the episode is, and how its pictures are made."""
    reading: ReadingPins = ReadingPins()
    """What is pinned about the logs."""
    entries: Mapping[Key, EntrySpec] = Field(max_length=MOST_TABLES)
    """The things compared."""
    channels: Mapping[Key, ChannelSpec] = Field(max_length=MOST_TABLES)
    """The quantities logged."""
    tests: Mapping[Key, TestSpec] = Field(max_length=MOST_TABLES)
    """The procedures."""
    figures: Mapping[Key, AnyFigure] = Field(default={}, max_length=MOST_TABLES)
    """The numbers worked out."""
    points: Mapping[Key, AnyPoints] = Field(default={}, max_length=MOST_TABLES)
    """How figures become points."""
    standings: StandingsSpec = StandingsSpec()
    """How a season ranks."""
    waivers: tuple[WaiverSpec, ...] = Field(default=(), max_length=MOST_TABLES)
    """Checks that may fail, each with its reason."""
    footage: tuple[FootageSpec, ...] = Field(default=(), max_length=MOST_TABLES)
    """Camera files, and where a run lies in them."""

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
        Line of each dotted key in the file it stands in, for messages.
    files : Mapping[str, str]
        File of each table that does not stand in session.toml itself.
    """

    folder: Path
    spec: SessionSpec
    runs: tuple[RunRef, ...]
    lines: Mapping[str, int]
    files: Mapping[str, str] = field(default_factory=dict)

    def file(self, table: str) -> str:
        """Return the file that a top-level table stands in."""
        return self.files.get(table, "session.toml")

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
