"""The order of day, month and year in the dates of a whole file."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from overlays.errors import LogError
from overlays.logs.notes import NoteBook
from overlays.logs.stamps import NS, Stamps
from overlays.model.session import ReadingPins

__all__ = ["by_order", "days_of", "mixed_stamps"]

Days = NDArray[np.int64]

_ORDERS = {"day first": (2, 1, 0), "month first": (2, 0, 1), "year first": (0, 1, 2)}
"""Where year, month and day stand among the three numbers."""
_MONTH_DAYS = np.array([0, 31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
_DAY_NS = 86400 * NS
_YEAR = 365
_ON_TIME = 1.5


def days_of(
    stamps: Stamps,
    clock_ns: Days,
    pins: ReadingPins,
    notes: NoteBook,
    *,
    file: str,
    line: int | None,
) -> Days:
    """Return days since 1970, in the one order that the whole file allows.

    Parameters
    ----------
    stamps : Stamps
        All with a date.
    clock_ns : ndarray of shape (N,)
        Nanoseconds since midnight.
    pins : ReadingPins
        ``date_order`` is heeded.
    notes : NoteBook
        Told what was concluded.
    file, line
        For messages.

    Raises
    ------
    LogError
        If no order makes dates of all rows, or several do and give other times.
    """
    named = stamps.date[:, 1] > 100
    if (stamps.four_digits != stamps.four_digits[0]).any() or (named != named[0]).any():
        raise mixed_stamps("the dates are written in several ways", file, line)
    orders = [pins.date_order] if pins.date_order else _possible_orders(stamps)
    fits = {order: days for order in orders if (days := by_order(stamps, order)) is not None}
    if not fits:
        raise mixed_stamps("no order of day, month and year makes dates of all rows", file, line)
    if len(fits) > 1 and not _alike(fits):
        fits = _likely(fits, clock_ns)
        if len(fits) > 1 and not _alike(fits):
            pins_of = " or ".join(f'date_order = "{order}"' for order in fits)
            raise LogError(
                f"the dates can be read {' or '.join(fits)}, and no row decides.",
                code="unclear-date-order",
                remedy=f"Say which with {pins_of} under [reading] in session.toml.",
                file=file,
                line=line,
            )
    if len(fits) > 1:
        notes.say(f"dates can be read {' or '.join(fits)}; the times are the same", line=line)
    elif orders[0] != "year first":
        notes.say(f"dates read {next(iter(fits))}", line=line)
    return next(iter(fits.values()))


def _alike(fits: Mapping[str, Days]) -> bool:
    first, *others = fits.values()
    return all((days - days[0] == first - first[0]).all() for days in others)


def _likely(fits: Mapping[str, Days], clock_ns: Days) -> dict[str, Days]:
    """Leave out orders in which rows are whole years apart, and prefer one that runs over midnight.

    No log has its next row on the same day of another year; and where the rows of an evening go on
    after midnight at their usual pace in one order only, that order is meant.
    """
    near = {order: days for order, days in fits.items() if _least_step(days) < _YEAR} or dict(fits)
    on_time = {order: days for order, days in near.items() if _runs_on(days, clock_ns)}
    return on_time if len(on_time) == 1 else near


def _least_step(days: Days) -> int:
    steps = np.abs(np.diff(days))
    return int(steps[steps > 0].min()) if (steps > 0).any() else 0


def _runs_on(days: Days, clock_ns: Days) -> bool:
    """Say whether rows keep their usual pace, within a day, over every change of the date."""
    steps = np.diff((days - days[0]) * _DAY_NS + clock_ns)
    changes = np.diff(days) != 0
    within = steps[~changes & (steps > 0)]
    if not within.size or not changes.any():
        return False
    over = steps[changes]
    return bool(((over > 0) & (over <= _ON_TIME * float(np.median(within)))).all())


def _possible_orders(stamps: Stamps) -> list[str]:
    if stamps.four_digits[0] == 0:
        return ["year first"]
    if stamps.date[0, 1] > 100 or (stamps.mark == ord(".")).all():
        # Dots are for day.month.year (DIN 5008); nobody writes month.day.year.
        fits = by_order(stamps, "day first") is not None
        return ["day first"] if fits else ["month first"]
    return ["day first", "month first", *(["year first"] if stamps.four_digits[0] < 0 else [])]


def by_order(stamps: Stamps, order: str) -> Days | None:
    """Return days since 1970, or None if some row is no date in this order."""
    year, month, day = (stamps.date[:, i].astype(np.int64) for i in _ORDERS[order])
    month = np.where(month > 100, month - 100, month)
    if (month < 1).any() or (month > 12).any() or (day < 1).any() or (day > 31).any():
        return None
    if (day > _MONTH_DAYS[month]).any() or (year > 9999).any():
        return None
    if stamps.four_digits[0] < 0:
        year = year + np.where(year < 70, 2000, 1900)
    months = ((year - 1970) * 12 + month - 1).astype("datetime64[M]")
    dates = months.astype("datetime64[D]") + (day - 1)
    if (dates.astype("datetime64[M]") != months).any():  # 29 February of a common year
        return None
    return np.asarray(dates.astype(np.int64))


def mixed_stamps(what: str, file: str, line: int | None) -> LogError:
    """Say that stamps of a file cannot be read as one column of times."""
    return LogError(
        f"{what}.",
        code="mixed-stamps",
        remedy="Export the log with one way of writing the time, or name another time_column.",
        file=file,
        line=line,
    )
