"""The lines of text on screen: which there are, where, how large, on what ground, for how long.

Patches tell what is written in them (`overlays.draw.patch.Written`); nothing is recognised here.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from overlays.draw.patch import Layer, Pixels, Rect

__all__ = ["Line", "Showing", "Showings", "ground_of", "is_number", "lines_on", "numbers_in"]

_NUMBER = re.compile(r"[−+-]?\d[\d.,]*")
_AROUND_PX = 3
_Key = tuple[str, int, tuple[int, int, int, int], int]


@dataclass(frozen=True, slots=True)
class Line:
    """A line of text as it lies on the canvas.

    Parameters
    ----------
    text : str
        As set.
    files : tuple of str
        The font's file and its fallbacks.
    size : int
        Pixels to the em.
    colour : (int, int, int, int)
        Straight RGBA.
    rect : Rect
        Its ink.
    clear : bool
        Whether nothing lies over it.
    """

    text: str
    files: tuple[str, ...]
    size: int
    colour: tuple[int, int, int, int]
    rect: Rect
    clear: bool


@dataclass(frozen=True, slots=True)
class Showing:
    """A text that stands whole on screen for a while.

    Parameters
    ----------
    text : str
        As set.
    size : int
        Pixels to the em.
    colour : (int, int, int, int)
        Straight RGBA.
    first_frame, end_frame : int
        Of the cue; `end_frame` is the one behind its last.
    """

    text: str
    size: int
    colour: tuple[int, int, int, int]
    first_frame: int
    end_frame: int


def is_number(text: str) -> bool:
    """Say whether a text is a number and nothing else.

    Examples
    --------
    >>> is_number("−12,5"), is_number("3 s"), is_number("–")
    (True, False, False)
    """
    return _NUMBER.fullmatch(text) is not None


def numbers_in(text: str) -> list[str]:
    """Return the numbers that stand in a text.

    Examples
    --------
    >>> numbers_in("94 % at 2.5 s")
    ['94', '2.5']
    """
    return [number.rstrip(".,") for number in _NUMBER.findall(text)]


def lines_on(layers: Sequence[Layer]) -> tuple[Line, ...]:
    """Return the lines of text that stand whole among layers, in their order.

    A number set digit by digit comes back as one line. Lines cut by a clip or faded are left out.
    """
    found: list[Line] = []
    for index, layer in enumerate(layers):
        if layer.patch.written and layer.opacity == 255:
            above = [other.covers for other in layers[index + 1 :] if _hides(other)]
            for line in _whole_lines(layer):
                clear = line.clear and all(covers.meet(line.rect).empty for covers in above)
                _add(found, replace(line, clear=clear))
    return tuple(found)


def _hides(layer: Layer) -> bool:
    """Say whether a layer hides what it lies over: a single sign is a neighbour's, and does not."""
    sign = len(layer.patch.written) == 1 and len(layer.patch.written[0].text) == 1
    return layer.opacity > 0 and not sign


def _whole_lines(layer: Layer) -> Iterator[Line]:
    for written in layer.patch.written:
        rect = written.rect.moved(layer.left, layer.top)
        if layer.clip is None or rect.meet(layer.clip) == rect:
            yield Line(
                written.text, written.files, written.size, written.colour, rect, written.clear
            )


def _add(found: list[Line], line: Line) -> None:
    last = found[-1] if found else None
    if last is not None and _goes_on(last, line):
        joined = last.rect.join(line.rect)
        clear = last.clear and line.clear
        found[-1] = replace(last, text=last.text + line.text, rect=joined, clear=clear)
    else:
        found.append(line)


def _goes_on(before: Line, line: Line) -> bool:
    """Say whether a single sign is the next one of a number set digit by digit."""
    same = (before.files, before.size, before.colour) == (line.files, line.size, line.colour)
    numeric = len(line.text) == 1 and (line.text.isdigit() or line.text in ".,")
    gap = line.rect.left - before.rect.right
    level = min(before.rect.bottom, line.rect.bottom) > max(before.rect.top, line.rect.top)
    beside = -2 <= gap <= line.size * 0.45 and (level or line.text in ".,")
    start = before.text in "−+-" or is_number(before.text)
    return same and numeric and beside and start


class Showings:
    """Notes which texts stand whole on screen, and when, as the frames of a cue come by.

    A text that moves is the same text. One that stands at several places is counted by place.
    """

    def __init__(self) -> None:
        self._open_since: dict[_Key, int] = {}
        self._found: list[Showing] = []
        self._before: Sequence[Layer] = ()
        self._frame = -1
        self._whole = lru_cache(maxsize=1024)(lambda layer: tuple(_whole_lines(layer)))

    def add(self, frame: int, layers: Sequence[Layer]) -> None:
        """Take a frame of the cue; one that came by already, or an earlier one, is passed over."""
        if frame <= self._frame:
            return
        self._frame = frame
        if layers is self._before or list(layers) == list(self._before):
            return
        self._before = layers
        lines: list[Line] = []
        for layer in layers:
            if layer.patch.written and layer.opacity == 255:
                for line in self._whole(layer):
                    _add(lines, line)
        now = dict.fromkeys(_numbered(lines))
        gone = [key for key in self._open_since if key not in now]
        self._found += [Showing(*key[:3], self._open_since.pop(key), frame) for key in gone]
        for key in now:
            self._open_since.setdefault(key, frame)

    def until(self, frames: int) -> tuple[Showing, ...]:
        """Return what was shown in a cue of so many frames, in order of time."""
        last = [Showing(*key[:3], first, frames) for key, first in self._open_since.items()]
        return tuple(
            sorted((*self._found, *last), key=lambda s: (s.first_frame, s.end_frame, s.text))
        )


def _numbered(lines: Iterable[Line]) -> Iterator[_Key]:
    """Tell equal texts apart by counting them."""
    counts: Counter[tuple[object, ...]] = Counter()
    for line in lines:
        key = (line.text, line.size, line.colour)
        counts[key] += 1
        yield *key, counts[key]


def ground_of(line: Line, pixels: Pixels) -> tuple[int, int, int, int]:
    """Return what a line lies on: the commonest colour around its ink that is not its own.

    Parameters
    ----------
    line : Line
        Where, and in which colour.
    pixels : ndarray of shape (H, W, 4)
        The drawn frame.
    """
    left, top, right, bottom = line.rect
    part = pixels[
        max(0, top - _AROUND_PX) : bottom + _AROUND_PX,
        max(0, left - _AROUND_PX) : right + _AROUND_PX,
    ]
    codes, counts = np.unique(np.ascontiguousarray(part).view(np.uint32), return_counts=True)
    for code in codes[np.argsort(counts)[::-1]]:
        red, green, blue, alpha = (int(value) for value in np.array([code]).view(np.uint8))
        if alpha == 0:
            return 0, 0, 0, 0
        if (red, green, blue, alpha) != line.colour:
            return red, green, blue, alpha
    return 0, 0, 0, 0
