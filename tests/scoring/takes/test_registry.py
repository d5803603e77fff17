"""Every take that can be declared can be taken."""

from __future__ import annotations

from typing import get_args

from overlays.model.figurespec import AnyFigure, TraceFigure
from overlays.scoring.takes.registry import TAKES


def test_declared_takes_and_functions_are_the_same() -> None:
    """Each table of a take from a trace has its function, and each function its table."""
    (tables, *_rest) = get_args(AnyFigure)
    declared = {
        name
        for table in get_args(tables)
        if issubclass(table, TraceFigure)
        for name in get_args(table.model_fields["take"].annotation)
    }
    assert declared == set(TAKES)


def test_every_take_says_what_it_computes() -> None:
    """A take's docstring is its definition."""
    assert all(function.__doc__ for function in TAKES.values())
