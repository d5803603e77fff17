"""What a test card shows: a test as the session declares it, and the runs there are of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from overlays.draw.picture import Picture
from overlays.kinds.base import Content
from overlays.model.figurespec import (
    AtFigure,
    DurationFigure,
    FadeFigure,
    FigureSpec,
    PercentileFigure,
    TimeToFigure,
    TraceFigure,
    WindowFigure,
)
from overlays.model.session import SessionSpec
from overlays.units import Quantity, symbol

__all__ = ["Counted", "TestCardContent", "Window", "windows_of"]


@dataclass(frozen=True, slots=True)
class Window:
    """A stretch of the test from which figures are taken.

    Parameters
    ----------
    label : str
        Which figures, and how each is taken.
    start, end : float
        In the unit of the test's length, within it; equal where it is a moment.
    """

    label: str
    start: float
    end: float


@dataclass(frozen=True, slots=True)
class Counted:
    """A figure that counts.

    Parameters
    ----------
    label : str
        Of its points, or of the figure.
    better : str
        Which way is better, in words.
    most : str
        The most points it gives, as `overlays.numbers.fixed` writes them; negative where it only
        takes points away, empty where it gives none.
    """

    label: str
    better: str
    most: str


@dataclass(frozen=True, slots=True)
class TestCardContent(Content):
    """What a test card shows.

    Parameters
    ----------
    title : str
        What the test is called.
    method, caution, counts : str
        What the session says of it; each may be empty.
    length : (float, str, str)
        How long it takes: the number, as written, and the unit as set on screen.
    repeats : int
        Runs planned of each entry.
    fewer : tuple of (str, int)
        Entries of which fewer runs count, and how many; nothing before the first run.
    entries : tuple of str
        Everybody who is tested.
    windows : tuple of Window
        Where figures that count are taken from, by their start.
    rows : tuple of Counted
        What counts.
    logo : Picture or None
        The programme's.
    """

    __test__ = False  # pytest would collect a class of this name

    title: str
    method: str
    caution: str
    counts: str
    length: tuple[float, str, str]
    repeats: int
    fewer: tuple[tuple[str, int], ...]
    entries: tuple[str, ...]
    windows: tuple[Window, ...]
    rows: tuple[Counted, ...]
    logo: Picture | None


def windows_of(spec: SessionSpec, test: str, figures: tuple[str, ...]) -> tuple[Window, ...]:
    """Return the stretches of a test that figures are taken from, equal ones as one.

    Parameters
    ----------
    spec : SessionSpec
        The session.
    test : str
        Its key.
    figures : tuple of str
        Keys; what they are made of is looked up.
    """
    length = spec.tests[test].length
    labels: dict[tuple[float, float], list[str]] = {}
    for key in _taken(spec, test, figures):
        figure = spec.figures[key]
        for start, end in _stretches(figure, length):
            low, high = (min(max(at, 0.0), length.value) for at in (start, end))
            known = labels.setdefault((low, high), [])
            label = f"{figure.label}: {_how(figure)}"
            if label not in known:
                known.append(label)
    return tuple(Window("; ".join(labels[at]), *at) for at in sorted(labels))


def _taken(spec: SessionSpec, test: str, figures: tuple[str, ...]) -> Iterator[str]:
    """Return the figures taken from a test's own runs that others are made of, each once."""
    todo, seen = list(figures), set(figures)
    while todo:
        key = todo.pop(0)
        figure = spec.figures[key]
        if isinstance(figure, TraceFigure) and figure.test == test:
            yield key
        new = [part for part in spec.parts_of(key) if part not in seen]
        seen.update(new)
        todo = new + todo


def _stretches(figure: FigureSpec, length: Quantity) -> tuple[tuple[float, float], ...]:
    def at(time: Quantity | None, otherwise: float) -> float:
        return otherwise if time is None else time.to(length.unit)

    if isinstance(figure, AtFigure):
        moment = at(figure.at, 0.0)
        return ((moment, moment),)
    if not isinstance(figure, WindowFigure):
        return ()
    first = (at(figure.start, 0.0), at(figure.end, length.value))
    if isinstance(figure, FadeFigure):
        return (first, (at(figure.then_start, 0.0), at(figure.then_end, length.value)))
    return (first,)


_HOW = {
    "area": "area",
    "at": "value",
    "fade": "mean, then and now",
    "impulse": "impulse",
    "mean": "mean",
    "minimum": "lowest",
    "peak": "highest",
    "range": "lowest to highest",
    "rise_time": "time to rise",
    "settled": "where it settles",
    "settling_time": "time to settle",
    "slope": "slope",
    "work": "work",
}


def _how(figure: FigureSpec) -> str:
    """Say in a word or two how a figure is taken."""
    if isinstance(figure, TimeToFigure):
        return f"time to {_set(figure.level)}"
    if isinstance(figure, DurationFigure):
        return f"time above {_set(figure.level)}"
    if isinstance(figure, PercentileFigure):
        return f"not above for {_set(figure.share)}"
    return _HOW[figure.take]


def _set(quantity: Quantity) -> str:
    text = f"{quantity.value:.{quantity.places}f}"
    unit = symbol(quantity.unit)
    return f"{text}\N{NO-BREAK SPACE}{unit}" if unit else text
