"""What the data can say: every quantity of a session that a spoken number may be about."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from pydantic import BaseModel

from overlays.model.result import Results
from overlays.model.session import Session
from overlays.numbers import fixed
from overlays.outline.speech.unit_words import Lexicon, lexicon
from overlays.units import Quantity, symbol

__all__ = ["MOST_NUMBERS", "Knowledge", "Known"]

_SHORTEST_FIRST_WORD = 4
_NEAR = 300  # letters around a number that may say whose it is
_CLAUSE = re.compile(r"[,;:–—]\s|\s(?:and|but|while|whereas)\s", re.IGNORECASE)

_STOPS = tuple(",;:–—")
MOST_NUMBERS, _LEAST_NUMBERS = 3000, 100
_COMPARISONS = 3_000_000  # a quarter of a minute at the most


@dataclass(frozen=True, slots=True)
class Known:
    """One quantity of the session.

    Parameters
    ----------
    label : str
        What it is, in words: ``"cold stop of Alder"``.
    name : str
        Key of the figure, attribute or setting.
    entry : str or None
        Whose it is; None for a setting of the session.
    value : float
        In `unit`.
    unit : str
        As in the session; ``"points"`` for a score.
    places : int
        Decimals it is shown with.
    is_figure : bool
        Whether it is a figure, rather than an attribute, a score or a setting.
    """

    label: str
    name: str
    entry: str | None
    value: float
    unit: str
    places: int
    is_figure: bool

    @property
    def shown(self) -> str:
        """The value as it is shown: ``86.4 N·m``."""
        sign = "points" if self.unit == "points" else symbol(self.unit)
        return f"{fixed(self.value, self.places)} {sign}".rstrip()


class Knowledge:
    """Everything a session knows, by entry.

    Parameters
    ----------
    results : Results
        Figures, scores, and the session they belong to.
    """

    def __init__(self, results: Results) -> None:
        self.results = results
        self.session: Session = results.session

    @cached_property
    def amounts(self) -> Mapping[str | None, tuple[Known, ...]]:
        """Figures, attributes and scores by entry; settings of the session under None."""
        found: dict[str | None, list[Known]] = {key: [] for key in self.session.spec.entries}
        for known in (*self._figures(), *self._attributes(), *self._scores()):
            found.setdefault(known.entry, []).append(known)
        found[None] = list(self._settings())
        return {entry: tuple(knowns) for entry, knowns in found.items()}

    @cached_property
    def lexicon(self) -> Lexicon:
        """The units of everything known, as words and symbols."""
        units = {known.unit for knowns in self.amounts.values() for known in knowns}
        channels = self.session.spec.channels.values()
        units |= {unit for channel in channels for unit in (channel.unit, channel.shown_unit)}
        return lexicon(sorted(units))

    @cached_property
    def most_judged(self) -> int:
        """How many numbers of a text can be held against all this in a short time.

        A ratio or difference is sought among the values of each entry, and between every two.
        """
        own = [len(known) for entry, known in self.amounts.items() if entry is not None]
        comparisons = sum(own) * len(own) / 2 + sum(n * n for n in own) / 10
        return min(MOST_NUMBERS, max(_LEAST_NUMBERS, int(_COMPARISONS / max(1, comparisons))))

    def _figures(self) -> Iterator[Known]:
        for (name, entry), figure in self.results.figures.items():
            if figure.value is not None:
                label = f"{self._figure_label(name)} of {self.name(entry)}"
                yield Known(
                    label, name, entry, figure.value, figure.unit, figure.places, is_figure=True
                )

    def _figure_label(self, name: str) -> str:
        spec = self.session.spec.figures.get(name)
        return spec.label if spec is not None else name

    def _attributes(self) -> Iterator[Known]:
        for key, entry in self.session.spec.entries.items():
            for name, quantity in entry.attributes.items():
                label = f"{name.replace('_', ' ')} of {entry.label}"
                yield _known(label, name, key, quantity)

    def _scores(self) -> Iterator[Known]:
        for standing in self.results.standings:
            row = standing.row
            if row.entry not in self.session.spec.entries:
                continue
            for name, points in {**row.points, "score": row.score}.items():
                if points is not None:
                    places = max(0, -int(points.as_tuple().exponent))
                    label = f"{name} points of {self.name(row.entry)}"
                    yield Known(
                        label, name, row.entry, float(points), "points", places, is_figure=False
                    )

    def _settings(self) -> Iterator[Known]:
        spec = self.session.spec
        for kind, tables in (("test", spec.tests), ("figure", spec.figures)):
            for key, table in tables.items():
                for name, quantity in _quantities(table, key):
                    yield _known(f"{kind} {name}", name, None, quantity)

    def name(self, entry: str) -> str:
        """Return the name of an entry as people say it."""
        spec = self.session.spec.entries.get(entry)
        return spec.label if spec is not None else entry

    @cached_property
    def _names(self) -> tuple[tuple[str, re.Pattern[str]], ...]:
        entries = self.session.spec.entries
        firsts = [spec.name.split()[0].casefold() for spec in entries.values() if spec.name.split()]
        patterns = []
        for key, spec in entries.items():
            names = {spec.name, spec.short, key.replace("_", " ")} - {""}
            first = spec.name.split()[0] if spec.name.split() else ""
            if firsts.count(first.casefold()) == 1 and len(first) >= _SHORTEST_FIRST_WORD:
                names.add(first)
            either = "|".join(re.escape(name) for name in sorted(names, key=len, reverse=True))
            patterns.append((key, re.compile(rf"(?<!\w)(?:{either})(?!\w)", re.IGNORECASE)))
        return tuple(patterns)

    def entries_in(self, text: str) -> tuple[str, ...]:
        """Return the entries a text names, in the order it names them."""
        found = {
            key: match.start() for key, pattern in self._names if (match := pattern.search(text))
        }
        return tuple(sorted(found, key=lambda key: found[key]))

    def named(self, text: str, start: int, end: int, *, gap: bool) -> tuple[str, ...]:
        """Return the entries that a number in a sentence is about.

        Parameters
        ----------
        text : str
            The sentence.
        start, end : int
            Where the number stands.
        gap : bool
            Whether it compares two entries: then all that the sentence names count, else the one
            of its own clause where that names just one.
        """
        before, behind = text[max(0, start - _NEAR) : start], text[end : end + _NEAR]
        if not gap:
            begins = [match.end() for match in _CLAUSE.finditer(before)]
            after = _CLAUSE.search(behind)
            clause = before[max(begins, default=0) :] + text[start:end]
            own = self.entries_in(clause + behind[: after.start() if after else None])
            if len(own) == 1 and not self._joined_by_and(before, begins, own):
                return own
        return self.entries_in(before + text[start:end] + behind)

    def _joined_by_and(self, before: str, begins: Sequence[int], own: Sequence[str]) -> bool:
        """Say whether a clause may go on about the one in front of its "and".

        "Alder bites first and makes 86.4 newton metres Dune is calm": captions have no full stops,
        and what is named behind a number may belong to the next sentence.
        """
        if not begins or before[: begins[-1]].rstrip()[-1:] in _STOPS:
            return False
        return not set(own) & set(self.entries_in(before[begins[-1] :]))

    def of(self, entries: Sequence[str]) -> Iterator[Known]:
        """Yield what is known of some entries."""
        for entry in entries:
            yield from self.amounts.get(entry, ())


def _known(label: str, name: str, entry: str | None, quantity: Quantity) -> Known:
    return Known(
        label, name, entry, quantity.value, quantity.unit, quantity.places, is_figure=False
    )


def _quantities(table: BaseModel, key: str) -> Iterator[tuple[str, Quantity]]:
    """Yield every quantity of a table, however deep, with its dotted key."""
    for name in type(table).model_fields:
        value = getattr(table, name)
        if isinstance(value, Quantity):
            yield f"{key}.{name}", value
        elif isinstance(value, BaseModel):
            yield from _quantities(value, f"{key}.{name}")
        elif isinstance(value, Mapping):
            for inner, item in value.items():
                if isinstance(item, BaseModel):
                    yield from _quantities(item, f"{key}.{name}.{inner}")
