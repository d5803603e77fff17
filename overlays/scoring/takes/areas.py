"""Area, impulse, work."""

from __future__ import annotations

import numpy as np

from overlays.errors import FigureError
from overlays.model.figurespec import AreaFigure, ImpulseFigure, WorkFigure
from overlays.scoring.takes.view import Piece, Taken, View
from overlays.units import convert, convert_array, is_offset, same_dimension, times

__all__ = ["area", "impulse", "work"]


def _refused(message: str, field: str) -> FigureError:
    return FigureError(
        message, code="unit-clash", field=field, remedy="Choose another channel or another take."
    )


def area(figure: AreaFigure, view: View) -> Taken:
    """Return the area under the trace by trapezoids, in the channel's unit times seconds."""
    piece = view.piece(figure)
    if is_offset(piece.unit):
        raise _refused(f"{piece.unit} has no true zero, so that there is no area under it", "take")
    return piece.area(), times(piece.unit, "s")


def impulse(figure: ImpulseFigure, view: View) -> Taken:
    """Return the area under a force, in N·s, or under a torque, in N·m·s."""
    piece = view.piece(figure)
    for unit in ("N", "N*m"):
        if same_dimension(piece.unit, unit):
            return convert(piece.area(), piece.unit, unit), f"{unit}*s"
    raise _refused(f"an impulse needs a force or a torque; found {piece.unit!r}", "channel")


def work(figure: WorkFigure, view: View) -> Taken:
    """Return the work done, in joules.

    Power over time: ∫ P dt. Force along a way: ∫ F dx, or ∫ F v dt. Torque through an angle:
    ∫ M dφ, or ∫ M ω dt, the angle in radians (ISO 80000-4:2019, 4-28.4). Trapezoids throughout.
    """
    piece = view.piece(figure)
    if figure.along is None:
        if not same_dimension(piece.unit, "W"):
            raise _refused(f"work without 'along' needs a power; found {piece.unit!r}", "channel")
        return convert(piece.area(), piece.unit, "W"), "J"
    along = view.piece(figure, channel=figure.along)
    for load, way, rate in (("N", "m", "m/s"), ("N*m", "rad", "rad/s")):
        if not same_dimension(piece.unit, load):
            continue
        if same_dimension(along.unit, way):
            return _through(piece, load, along, way, over_time=False), "J"
        if same_dimension(along.unit, rate):
            return _through(piece, load, along, rate, over_time=True), "J"
    raise _refused(
        f"there is no work of {piece.unit!r} along {along.unit!r}; expected a force along a way "
        "or a torque through an angle, or along their speeds",
        "along",
    )


def _through(
    piece: Piece, load_unit: str, along: Piece, along_unit: str, *, over_time: bool
) -> float:
    load = convert_array(piece.values, piece.unit, load_unit)
    # The channels need not be sampled together.
    way = np.interp(piece.time_s, along.time_s, convert_array(along.values, along.unit, along_unit))
    y, x = (load * way, piece.time_s) if over_time else (load, way)
    return float(np.sum(((y[1:] + y[:-1]) / 2 * np.diff(x))[piece.joined]))
