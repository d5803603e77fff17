"""The takes by name. A new take is a table in `overlays.model.figurespec` and a function here."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from overlays.model.figurespec import TraceFigure
from overlays.scoring.takes import areas, levels, means, times
from overlays.scoring.takes.view import Taken, View

__all__ = ["TAKES", "take"]

# Each function has the table of its own take as its first argument; the key is what joins them,
# and a test holds this mapping against the tables.
TAKES: Mapping[str, Callable[[Any, View], Taken]] = {
    "area": areas.area,
    "at": means.at,
    "fade": means.fade,
    "impulse": areas.impulse,
    "mean": means.mean,
    "minimum": levels.minimum,
    "peak": levels.peak,
    "percentile": levels.percentile,
    "range": levels.value_range,
    "rise_time": times.rise_time,
    "settled": means.settled,
    "settling_time": means.settling_time,
    "slope": means.slope,
    "time_above": times.time_above,
    "time_to": times.time_to,
    "work": areas.work,
}


def take(figure: TraceFigure, view: View) -> Taken:
    """Take a figure from a run.

    Returns
    -------
    value : float
        Finite.
    unit : str
        The take's own; the caller converts to the unit shown.

    Raises
    ------
    FigureError
        If the run does not have the figure (code ``no-value``), or no run can.
    UnitError
        If a level's or band's unit does not fit the channel.
    """
    return TAKES[figure.take](figure, view)
