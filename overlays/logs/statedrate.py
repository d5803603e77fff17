"""How fast a logger ran, where the lines above its data say so."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from overlays.logs.cells import number
from overlays.logs.unitwords import TIME_UNIT

__all__ = ["StatedRate", "find_rate"]

_NUMBER = r"(?P<value>\d(?:[\d.,'\u00a0\u202f\u2019]*\d)?(?:[eE][+-]?\d{1,2})?)"
_HERTZ = r"(?P<unit>kHz|MHz|Hz|kS/s|S/s|Sa/s|sps|samples/s|1/s|/s)"
_SECONDS = (
    r"(?P<unit>[mµμun]s|[mu]sec|milliseconds|millisekunden|s|sec|seconds|sekunden|min|ミリ秒|秒)"
)
_END = r"(?![\w/])"
_RATE = (
    r"(?i:rate|frequency|frequenz|freq|frequencia|fr[eé]quence|frecuencia|frequenza|frekvens|sampling|"
    r"サンプリング周波数|レート|\bfs\b)"
)
# Not "time base" or "per division": that is how wide a picture was, not how fast samples came.
_INTERVAL = (
    r"(?i:interval|intervall|intervalle|intervalo|period|\bdt\b|delta[ _]?t\b|x[ _]?increment|"
    r"time[ _]?(?:step|increment)|abtastzeit|サンプリング間隔|間隔|周期)"
)
_FORMS = tuple(
    (re.compile(form), slow)
    for slow, word, unit in ((False, _RATE, _HERTZ), (True, _INTERVAL, _SECONDS))
    for form in (
        rf"{word}\D{{0,24}}?{_NUMBER}[\s,;\"'\[(]*{unit}{_END}",
        rf"{word}[^\d\[(]{{0,16}}[\[(_]\s*{unit}\s*[\])]?[\s,;:=\"']*{_NUMBER}(?![\d.,]*\s*\w)",
    )
)
_HERTZ_OF = {"mhz": 1e6, "khz": 1e3, "ks/s": 1e3}
_LONGEST = 200


@dataclass(frozen=True, slots=True)
class StatedRate:
    """What a line says, before the file's decimal mark is known.

    Parameters
    ----------
    value : str
        The number as written.
    unit : str
        Its unit.
    interval : bool
        Whether it is the time from one sample to the next.
    """

    value: str
    unit: str
    interval: bool

    def hz(self, decimal: str) -> float | None:
        """Return samples a second; None where the number cannot be read."""
        value = number(self.value, decimal) or number(self.value, "," if decimal == "." else ".")
        if value is None or not value > 0:
            return None
        if not self.interval:
            return value * _HERTZ_OF.get(self.unit.lower(), 1.0)
        unit = TIME_UNIT[self.unit.lower()]
        return {"s": 1.0, "ms": 1e3, "us": 1e6, "ns": 1e9, "min": 1 / 60}[unit] / value


def find_rate(lines: Iterable[str]) -> StatedRate | None:
    """Find the first line that states a rate or an interval, with its unit.

    Examples
    --------
    >>> find_rate(["Logger 7", "Abtastintervall;2,5;ms"]).hz(",")
    400.0
    """
    for line in lines:
        for form, interval in _FORMS:
            if match := form.search(line[:_LONGEST]):
                return StatedRate(match["value"], match["unit"], interval)
    return None
