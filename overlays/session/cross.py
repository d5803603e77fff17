"""What the tables of session.toml say of each other: names that must exist, units that must fit."""

from __future__ import annotations

from collections.abc import Mapping

from overlays.errors import Problems, SessionError
from overlays.model.conditionspec import ButterworthSpec
from overlays.model.figurespec import (
    AttributeFigure,
    FigureSpec,
    PairFigure,
    PercentileFigure,
    TraceFigure,
    WorkFigure,
)
from overlays.model.pointspec import ClaimPoints
from overlays.model.session import ChannelSpec, SessionSpec, TestSpec
from overlays.model.trustspec import InstrumentSpec
from overlays.numbers import fixed
from overlays.session.validation import closest
from overlays.units import Quantity, difference_unit, same_dimension, symbol

__all__ = ["LARGEST_SIDE", "MOST_HANDLES", "check_tables"]

_FILE = "session.toml"
LEAST_SIDE, LARGEST_SIDE = 16, 8192  # pixels
MOST_HANDLES = 10_000  # frames


def check_tables(
    spec: SessionSpec,
    lines: Mapping[str, int],
    problems: Problems,
    *,
    files: Mapping[str, str] | None = None,
) -> None:
    """Check every name and unit that one table takes from another.

    Parameters
    ----------
    spec : SessionSpec
        session.toml, each table in itself right.
    lines : Mapping[str, int]
        Line of each dotted key.
    problems : Problems
        Receives every fault, one a field.
    files : Mapping[str, str], optional
        File of each top-level table that does not stand in session.toml.
    """
    check = _Check(spec, lines, problems, files or {})
    check.episode()
    check.channels()
    for key, test in spec.tests.items():
        check.test(key, test)
    for key, figure in spec.figures.items():
        check.figure(key, figure)
    check.circles()
    check.standings()
    for key, points in spec.points.items():
        check.known(f"points.{key}.figure", "figure", points.figure, spec.figures)
        if isinstance(points, ClaimPoints):
            check.known(f"points.{key}.claim", "attribute", points.claim, check.attributes)


class _Check:
    def __init__(
        self,
        spec: SessionSpec,
        lines: Mapping[str, int],
        problems: Problems,
        files: Mapping[str, str],
    ) -> None:
        self.spec = spec
        self.files = files
        self.lines = lines
        self.problems = problems
        self.bad_units: set[str] = set()
        self.attributes: dict[str, str] = {}
        for entry in spec.entries.values():
            for name, quantity in entry.attributes.items():
                self.attributes.setdefault(name, quantity.unit)

    def _line(self, field: str) -> int | None:
        while field and field not in self.lines:
            field = field.rpartition(".")[0]
        return self.lines.get(field)

    def _file(self, field: str) -> str:
        return self.files.get(field.partition(".")[0], _FILE)

    def fault(self, field: str, message: str, *, code: str, remedy: str) -> None:
        with self.problems.collecting(file=self._file(field), line=self._line(field), field=field):
            raise SessionError(message, code=code, remedy=remedy)

    def known(self, field: str, kind: str, key: str, known: Mapping[str, object]) -> bool:
        if key not in known:
            remedy = closest(key, list(known))
            message = f"there is no {kind} {key!r}."
            self.fault(field, message, code=f"unknown-{kind.replace(' ', '-')}", remedy=remedy)
        return key in known

    def quantity(self, field: str, quantity: Quantity, like: str) -> bool:
        """Check the unit of a quantity, and tell it as it was written."""
        written = f"{fixed(quantity.value, quantity.places)} {quantity.unit}".strip()
        return self.unit(field, quantity.unit, like, found=written)

    def unit(
        self, field: str, unit: str, like: str | None = None, *, found: str | None = None
    ) -> bool:
        before = len(self.problems.found)
        with self.problems.collecting(file=self._file(field), line=self._line(field), field=field):
            symbol(unit)
            if like in self.bad_units:
                return True  # told where it is declared
            if like is not None and not same_dimension(unit, like):
                raise SessionError(
                    f"found {found or unit or 'a plain number'!r}; expected a unit like {like!r}.",
                    code="unit-clash",
                    remedy="lb is a mass: for torque write lbf*ft."
                    if same_dimension(unit, "lb*ft")
                    else "Check both units.",
                )
        return len(self.problems.found) == before

    def episode(self) -> None:
        episode = self.spec.episode
        with self.problems.collecting(file=_FILE, line=self._line("episode.timecode")):
            _ = episode.timebase
        if not LEAST_SIDE <= min(episode.canvas) <= max(episode.canvas) <= LARGEST_SIDE:
            self.fault(
                "episode.canvas",
                f"found {list(episode.canvas)}; expected two sizes from {LEAST_SIDE} to "
                f"{LARGEST_SIDE} pixels.",
                code="bad-canvas",
                remedy="Write it like [1920, 1080].",
            )
        if not 0 <= min(episode.handles) <= max(episode.handles) <= MOST_HANDLES:
            self.fault(
                "episode.handles",
                f"found {list(episode.handles)}; expected two counts of frames, 0 to "
                f"{MOST_HANDLES}.",
                code="bad-handles",
                remedy="Write them like [12, 12].",
            )
        self.quantity("episode.speaking_rate", episode.speaking_rate, "1/min")
        if self.spec.reading.rate is not None:
            self.quantity("reading.rate", self.spec.reading.rate, "Hz")

    def channels(self) -> None:
        for key, channel in self.spec.channels.items():
            if not self.unit(f"channels.{key}.unit", channel.unit):
                self.bad_units.add(channel.unit)
                continue
            if channel.show:
                self.unit(f"channels.{key}.show", channel.show, channel.unit)
            for name in ("missing", "limits"):
                for quantity in getattr(channel, name) or ():
                    self.quantity(f"channels.{key}.{name}", quantity, channel.unit)
            if channel.instrument is not None:
                self._instrument(f"channels.{key}.instrument", channel.instrument, channel.unit)

    def _instrument(self, field: str, instrument: InstrumentSpec, unit: str) -> None:
        for name in ("of_reading", "of_range"):
            if (share := getattr(instrument, name)) is not None:
                self.quantity(f"{field}.{name}", share, "%")
        for name in ("range", "fixed"):
            if (quantity := getattr(instrument, name)) is not None:
                self.quantity(f"{field}.{name}", quantity, difference_unit(unit))
        if instrument.of_range is not None and instrument.range is None:
            self.fault(
                f"{field}.of_range",
                "a share of the range needs the range.",
                code="missing-key",
                remedy="Add 'range'.",
            )

    def test(self, key: str, test: TestSpec) -> None:
        field = f"tests.{key}"
        for channel in test.channels:
            self.known(f"{field}.channels", "channel", channel, self.spec.channels)
        if not test.channels:
            self.fault(
                f"{field}.channels",
                "a test needs a channel.",
                code="no-channel",
                remedy="Name the channels that are logged.",
            )
            return
        if self.known(f"{field}.main", "figure", test.main, self.spec.figures):
            tests = self.spec.tests_of(test.main)
            # A test that does not exist is told at the figure.
            if tests != {key} and tests <= set(self.spec.tests):
                found = ", ".join(sorted(tests)) or "none"
                self.fault(
                    f"{field}.main",
                    f"{test.main!r} is taken from: {found}; expected a figure of {key!r} alone.",
                    code="main-figure-elsewhere",
                    remedy="Name a figure of this test: it chooses the run that is shown.",
                )
        own = {
            name: self.spec.channels[name] for name in test.channels if name in self.spec.channels
        }
        self._conditioning(field, test, own)
        if test.heard is not None:
            self.known(f"{field}.heard", "channel", test.heard, own)
        if test.accept is not None and test.accept.variation is not None:
            self.quantity(f"{field}.accept.variation", test.accept.variation, "%")

    def _conditioning(self, field: str, test: TestSpec, own: Mapping[str, ChannelSpec]) -> None:
        self.quantity(f"{field}.jitter", test.jitter, "%")
        if test.trigger is not None:
            trigger = test.trigger
            if self.known(f"{field}.trigger.channel", "channel", trigger.channel, own):
                unit = own[trigger.channel].unit
                self.quantity(f"{field}.trigger.level", trigger.level, unit)
                self.quantity(f"{field}.trigger.rearm", trigger.rearm, unit)
        if test.zero is not None:
            self.quantity(f"{field}.zero.drift_limit", test.zero.drift_limit, "%")
            for channel in test.zero.channels:
                self.known(f"{field}.zero.channels", "channel", channel, own)
        for channel in test.spikes:
            self.known(f"{field}.spikes.{channel}", "channel", channel, own)
        for channel, spec in test.filters.items():
            self.known(f"{field}.filters.{channel}", "channel", channel, own)
            if isinstance(spec, ButterworthSpec):
                self.quantity(f"{field}.filters.{channel}.cutoff", spec.cutoff, "Hz")
        if test.reading.rate is not None:
            self.quantity(f"{field}.reading.rate", test.reading.rate, "Hz")

    def figure(self, key: str, figure: FigureSpec) -> None:
        field = f"figures.{key}"
        if key in self.attributes:
            self.fault(
                field,
                f"{key!r} is also an attribute of an entry.",
                code="name-twice",
                remedy="Give one of them another name, so that a reference means one thing.",
            )
        if isinstance(figure, TraceFigure):
            self._trace_figure(field, figure)
        elif isinstance(figure, PairFigure):
            names = {**self.spec.figures, **self.attributes}
            self.known(f"{field}.of", "figure or attribute", figure.of, names)
            self.known(f"{field}.by", "figure or attribute", figure.by, names)
        elif isinstance(figure, AttributeFigure):
            self.known(f"{field}.attribute", "attribute", figure.attribute, self.attributes)
        if figure.unit is not None:
            self.unit(f"{field}.unit", figure.unit)

    def standings(self) -> None:
        standings = self.spec.standings
        columns = [*self.spec.points, "firsts"]
        for key in standings.tie_breaks:
            self.known("standings.tie_breaks", "column", key, dict.fromkeys(columns))
        if standings.references == "frozen" and standings.frozen_after is None:
            self.fault(
                "standings.references",
                "frozen references need the episode they were frozen after.",
                code="missing-key",
                remedy="Add 'frozen_after'.",
            )

    def _trace_figure(self, field: str, figure: TraceFigure) -> None:
        if not self.known(f"{field}.test", "test", figure.test, self.spec.tests):
            return
        channels = self.spec.tests[figure.test].channels
        own = {name: self.spec.channels[name] for name in channels if name in self.spec.channels}
        if not channels:
            return  # told at the test
        if figure.channel is not None:
            self.known(f"{field}.channel", "channel", figure.channel, own)
        elif len(own) > 1:
            self.fault(
                f"{field}.channel",
                f"{figure.test!r} has several channels: {', '.join(own)}.",
                code="missing-key",
                remedy="Say with 'channel' which one the figure is taken from.",
            )
        if isinstance(figure, WorkFigure) and figure.along is not None:
            self.known(f"{field}.along", "channel", figure.along, own)
        if isinstance(figure, PercentileFigure):
            of_all = self.quantity(f"{field}.share", figure.share, "%")
            if of_all and figure.share.to("%") > 100:
                self.fault(
                    f"{field}.share",
                    f"found {figure.share.to('%'):g} %; expected 100 % at most.",
                    code="bad-share",
                    remedy='Write it like "95 %".',
                )

    def circles(self) -> None:
        told: set[str] = set()
        for key in self.spec.figures:
            # A figure named like an attribute is told as such.
            circle = [] if key in self.attributes else self._circle(key)
            if circle and not told & set(circle):
                told |= set(circle)
                self.fault(
                    f"figures.{key}",
                    f"it is made of itself: {' → '.join([*circle, circle[0]])}.",
                    code="circular-figure",
                    remedy="Make it of figures that are taken from a test.",
                )

    def _circle(self, start: str) -> list[str]:
        """Return the way from a figure back to itself, empty where there is none."""
        ways = [[start]]
        seen = {start}
        while ways:
            way = ways.pop()
            for part in self.spec.parts_of(way[-1]):
                if part == start:
                    return way
                if part not in seen:
                    seen.add(part)
                    ways.append([*way, part])
        return []
