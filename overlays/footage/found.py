"""Where a run lies in a camera file: the place, how sure, and what to do, in words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

__all__ = ["SURE_WITHIN_S", "By", "Found", "Place", "nothing_found"]

By = Literal["sound", "flash", "clap"]
SURE_WITHIN_S = 1001 / 30000
"""A place known less closely than a frame of 29.97 frames/s is not sure."""


@dataclass(frozen=True, slots=True)
class Place:
    """One place that a run may lie at.

    Parameters
    ----------
    offset_s : float
        Time of the run's zero in the footage.
    weight : float
        How much speaks for it: 1 for the best.
    """

    offset_s: float
    weight: float


@dataclass(frozen=True, slots=True)
class Found:
    """What was found.

    Parameters
    ----------
    by : {"sound", "flash", "clap"}
        What was looked for.
    places : tuple of Place
        Best first; empty where there is none at all.
    error_s : float or None
        Half the width of the stretch that holds the place nineteen times of twenty.
    sure : bool
        Whether the best place can be relied upon.
    why : str
        Why not, as a sentence without its full stop; empty where it is sure.
    remedy : str
        What to do, as sentences.
    """

    by: By
    places: tuple[Place, ...]
    error_s: float | None
    sure: bool
    why: str = ""
    remedy: str = ""

    @property
    def offset_s(self) -> float | None:
        """Time of the run's zero in the footage, by the best place; None without one."""
        return self.places[0].offset_s if self.places else None


def nothing_found(by: By, why: str, remedy: str) -> Found:
    """Return that there is no place at all."""
    return Found(by, (), None, sure=False, why=why, remedy=remedy)
