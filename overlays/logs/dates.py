"""Stamps of a whole file → seconds: order of day and month, midnight, zones, the repeated hour."""

from __future__ import annotations

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import numpy as np
from numpy.typing import NDArray

from overlays.errors import LogError
from overlays.logs.clock import Clock
from overlays.logs.notes import NoteBook
from overlays.logs.stamps import NO_ZONE, NS, Stamps
from overlays.model.session import ReadingPins

__all__ = ["stamped_time"]

_DAY_S = 86400
_ORDERS = {"day first": (2, 1, 0), "month first": (2, 0, 1), "year first": (0, 1, 2)}
"""Where year, month and day stand among the three numbers."""
_MONTH_DAYS = np.array([0, 31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])

Days = NDArray[np.int64]


def stamped_time(
    stamps: Stamps,
    clocks: Stamps | None,
    pins: ReadingPins,
    notes: NoteBook,
    *,
    file: str,
    line: int | None,
) -> Clock:
    """Convert a column of stamps.

    Parameters
    ----------
    stamps : Stamps
        The time column, at least one row, all valid.
    clocks : Stamps or None
        A column of times of day beside it, where the dates stand apart.
    pins : ReadingPins
        ``date_order``, ``time_fields`` and ``zone`` are heeded.
    notes : NoteBook
        Told what was assumed.
    file, line
        For messages.

    Returns
    -------
    Clock
        Seconds from the first stamp.

    Raises
    ------
    LogError
        If the stamps can be read in two ways that give different times.
    """
    clock_ns = _clock_ns(clocks or stamps, pins, file, line)
    zones = stamps.zone_min if clocks is None else clocks.zone_min
    dated = bool((stamps.date[:, 0] >= 0).all())
    if not dated:
        if (stamps.date[:, 0] >= 0).any():
            raise _mixed("some stamps have a date and some have none", file, line)
        seconds = _over_midnight(clock_ns, notes, line)
        return Clock(seconds, None, None)
    days = _days(stamps, pins, notes, file=file, line=line)
    local_ns = (days - days[0]) * (_DAY_S * NS) + clock_ns
    began = datetime(1970, 1, 1) + timedelta(days=int(days[0]))  # noqa: DTZ001 (as written)
    began += timedelta(microseconds=int(clock_ns[0]) // 1000)
    if (zones != NO_ZONE).any():
        if (zones == NO_ZONE).any():
            raise _mixed("some stamps have a zone and some have none", file, line)
        if (zones != zones[0]).any():
            notes.say("stamps of several zones, brought to one", line=line)
        local_ns = local_ns - zones.astype(np.int64) * (60 * NS)
    elif pins.zone is not None:
        local_ns = _out_of_zone(local_ns, began, clock_ns[0], pins.zone, file)
        notes.say(f"stamps read as local time in {pins.zone}", line=line)
    else:
        local_ns = _over_repeated_hour(local_ns, notes, line)
    return Clock((local_ns - local_ns[0]) / NS, None, began)


def _clock_ns(stamps: Stamps, pins: ReadingPins, file: str, line: int | None) -> Days:
    """Return nanoseconds since midnight; where a stamp has two fields only, say which they are."""
    clock = np.where(stamps.clock_ns < 0, 0, stamps.clock_ns)
    if not (stamps.colons == 1).any() or (stamps.date[:, 0] >= 0).all():
        return clock
    first = clock // (3600 * NS)
    fields = pins.time_fields or ("minutes:seconds" if (first > 23).any() else None)
    if fields is None:
        raise LogError(
            "the time has two fields, which can be hours and minutes or minutes and seconds.",
            code="unclear-time-fields",
            remedy='Say which with time_fields = "minutes:seconds" (or "hours:minutes") under '
            "[reading] in session.toml.",
            file=file,
            line=line,
        )
    return np.asarray(clock // 60 if fields == "minutes:seconds" else clock)


def _over_midnight(clock_ns: Days, notes: NoteBook, line: int | None) -> NDArray[np.float64]:
    """Go on counting where the time of day starts again: a step back of more than half a day."""
    steps = np.diff(clock_ns)
    passed = (steps < -(_DAY_S // 2) * NS) & (clock_ns[1:] >= 0)
    if passed.any():
        notes.say(f"passes midnight {_times(int(passed.sum()))}; counted on", line=line)
    days = np.concatenate(([0], np.cumsum(passed)))
    clock_ns = _over_repeated_hour(clock_ns + days * (_DAY_S * NS), notes, line)
    return np.asarray((clock_ns - clock_ns[0]) / NS)


def _times(n: int) -> str:
    return "once" if n == 1 else f"{n} times"


def _over_repeated_hour(local_ns: Days, notes: NoteBook, line: int | None) -> Days:
    """Count on where the clock is set back by an hour and the rows go on at their usual pace.

    Only a step back that is one hour short of the usual step, to within half of it, is taken so;
    any other step back is left for the clock's resets.
    """
    steps = np.diff(local_ns)
    if not (steps < 0).any() or not (steps > 0).any():
        return local_ns
    usual = float(np.median(steps[steps > 0]))
    back = (steps < 0) & (np.abs(steps + 3600 * NS - usual) <= 0.5 * usual)
    if usual >= 1800 * NS or not back.any():
        return local_ns
    notes.say(
        f"the clock goes back by an hour {_times(int(back.sum()))} while the rows go on at their "
        "usual pace (end of summer time); counted on",
        line=line,
    )
    return np.asarray(local_ns + np.concatenate(([0], np.cumsum(back))) * (3600 * NS))


def _days(
    stamps: Stamps, pins: ReadingPins, notes: NoteBook, *, file: str, line: int | None
) -> Days:
    """Return days since 1970, in the one order that the whole file allows."""
    named = stamps.date[:, 1] > 100
    if (stamps.four_digits != stamps.four_digits[0]).any() or (named != named[0]).any():
        raise _mixed("the dates are written in several ways", file, line)
    orders = [pins.date_order] if pins.date_order else _possible_orders(stamps)
    fits = {order: days for order in orders if (days := _by_order(stamps, order)) is not None}
    if not fits:
        raise _mixed("no order of day, month and year makes dates of all rows", file, line)
    if len(fits) > 1:
        first, *others = fits.values()
        if any((days - days[0] != first - first[0]).any() for days in others):
            raise LogError(
                f"the dates can be read {' or '.join(fits)}, and no row decides.",
                code="unclear-date-order",
                remedy='Say which with date_order = "day first" (or "month first") under '
                "[reading] in session.toml.",
                file=file,
                line=line,
            )
        notes.say(f"dates can be read {' or '.join(fits)}; the times are the same", line=line)
    elif orders[0] != "year first":
        notes.say(f"dates read {next(iter(fits))}", line=line)
    return next(iter(fits.values()))


def _possible_orders(stamps: Stamps) -> list[str]:
    if stamps.four_digits[0] == 0:
        return ["year first"]
    if stamps.date[0, 1] > 100 or (stamps.mark == ord(".")).all():
        # Dots are for day.month.year (DIN 5008); nobody writes month.day.year.
        fits = _by_order(stamps, "day first") is not None
        return ["day first"] if fits else ["month first"]
    # A year of two digits in front goes with hyphens only (CLDR's short dates, from memory).
    short = stamps.four_digits[0] < 0 and (stamps.mark == ord("-")).all()
    return ["day first", "month first", *(["year first"] if short else [])]


def _by_order(stamps: Stamps, order: str) -> Days | None:
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


def _out_of_zone(
    local_ns: Days, began: datetime, first_clock_ns: int, zone: str, file: str
) -> Days:
    """Bring local times to one clock; in the repeated hour, the order of the rows decides."""
    try:
        rules = ZoneInfo(zone)
    except (ZoneInfoNotFoundError, ValueError, OSError) as error:
        raise LogError(
            f"{zone!r} is not a time zone that is known.",
            code="unknown-zone",
            remedy='Give it as in zone = "Europe/Vienna", or leave it out.',
            file=file,
            field="reading.zone",
        ) from error
    midnight = began - timedelta(microseconds=int(first_clock_ns) // 1000)
    quarter = 900 * NS
    slots, where = np.unique(local_ns // quarter, return_inverse=True)
    moments = [midnight + timedelta(seconds=int(slot) * 900) for slot in slots]
    earlier = np.array([_offset_s(m, rules, fold=0) for m in moments])[where]
    later = np.array([_offset_s(m, rules, fold=1) for m in moments])[where]
    first = local_ns - earlier * NS
    repeated = earlier > later
    # Within the repeated hour, the second time round begins where the rows step back.
    back = np.concatenate(([False], (np.diff(local_ns) <= 0) & repeated[1:]))
    second_round = repeated & (np.cumsum(back) > 0)
    return np.asarray(np.where(second_round, local_ns - later * NS, first))


def _offset_s(moment: datetime, rules: ZoneInfo, *, fold: int) -> int:
    offset = moment.replace(tzinfo=rules, fold=fold).utcoffset()
    return 0 if offset is None else int(offset.total_seconds())


def _mixed(what: str, file: str, line: int | None) -> LogError:
    return LogError(
        f"{what}.",
        code="mixed-stamps",
        remedy="Export the log with one way of writing the time, or name another time_column.",
        file=file,
        line=line,
    )
