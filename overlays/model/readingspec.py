"""What a session pins about its logs, where looking at them cannot tell."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, WithJsonSchema

from overlays.errors import TracereelError
from overlays.model.spec import PositiveField, Spec, told
from overlays.units import symbol

__all__ = ["ReadingPins"]

MOST_UNITS = 200


def _unit(value: object) -> object:
    if isinstance(value, str):
        try:
            symbol(value)
        except TracereelError as error:
            raise told(error.message, code=error.code, remedy=error.remedy) from error
    return value


UnitField = Annotated[
    str, BeforeValidator(_unit), WithJsonSchema({"type": "string", "description": "A unit."})
]


class ReadingPins(Spec):
    """The table ``[reading]``: what a log says about itself, where it cannot be told by looking.

    Everything is optional. What is given here is taken as it is instead of being found out; the
    reading note of a log shows what was found, in the same words. A test may have its own table
    ``[tests.KEY.reading]``, whose keys win.
    """

    encoding: str | None = None
    """Text encoding, such as "utf-8", "utf-16-le" or "cp1252"."""
    delimiter: Literal[",", ";", "\t", " ", "|"] | None = None
    """What separates the cells; a space stands for any run of spaces and tabs."""
    decimal: Literal[".", ","] | None = None
    """The decimal mark."""
    header_line: int | None = Field(default=None, ge=1)
    """Line of the column names, from 1."""
    time_column: str | None = None
    """Name of the column that tells the time; "column 1" where the file has no names."""
    time_kind: Literal["elapsed", "serial day", "since 1970", "row number"] | None = None
    """What a numeric time counts; "row number" where no column tells the time."""
    time_unit: Literal["s", "ms", "us", "ns", "min", "h", "day"] | None = None
    """Unit of a numeric time."""
    time_fields: Literal["hours:minutes", "minutes:seconds", "hours:minutes:seconds"] | None = None
    """What a time of two fields means, or that stamps such as 10.11.12 are times and no dates."""
    date_order: Literal["day first", "month first", "year first"] | None = None
    """Order of day, month and year in dates."""
    zone: str | None = None
    """Zone of local times, such as "Europe/Vienna"; it settles the repeated hour."""
    units: Mapping[str, UnitField] = Field(default={}, max_length=MOST_UNITS)
    """Units by the name of a column, where a log says none, or a wrong one."""
    rate: PositiveField | None = None
    """Sampling rate, where rows are only counted."""
    same_stamp: Literal["keep first", "spread"] | None = None
    """What rows of equal stamps mean where the clock is coarser than the rows."""
    words: Literal["gap"] | None = None
    """What a word among the numbers of a channel means; without it, one is an error."""
    segment: int | None = Field(default=None, ge=1)
    """Which stretch between clock resets is the run, from 1."""
    sheet: str | None = None
    """Name of a spreadsheet's sheet."""
    group: int | None = Field(default=None, ge=0)
    """Channel group of an MDF file, from 0."""

    def over(self, under: ReadingPins) -> ReadingPins:
        """Return these pins, with those of `under` where these say nothing."""
        said = {name: getattr(self, name) for name in type(self).model_fields}
        said["units"] = {**under.units, **self.units}
        return under.model_copy(update={k: v for k, v in said.items() if v is not None})
