"""Stamps of a whole file → seconds: order of day and month, midnight, zones, the repeated hour."""

from __future__ import annotations

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import numpy as np
from numpy.typing import NDArray

from overlays.errors import LogError
from overlays.logs.clock import Clock
from overlays.logs.dayorder import by_order, days_of, mixed_stamps
from overlays.logs.notes import NoteBook
from overlays.logs.stamps import NO_ZONE, NS, Stamps, dotted_clocks
from overlays.model.session import ReadingPins

__all__ = ["stamped_time"]

_DAY_S = 86400
_MONTH = 28
_SUNDAY = 6

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
    if clocks is not None:
        clocks = dotted_clocks(clocks) or clocks
    elif (dotted := dotted_clocks(stamps)) is not None and _are_times(stamps, pins, file, line):
        stamps = dotted
        notes.say("time read as hours.minutes.seconds", line=line)
    clock_ns = _clock_ns(clocks or stamps, pins, file, line)
    zones = stamps.zone_min if clocks is None else clocks.zone_min
    dated = bool((stamps.date[:, 0] >= 0).all())
    if not dated:
        if (stamps.date[:, 0] >= 0).any():
            raise mixed_stamps("some stamps have a date and some have none", file, line)
        seconds = _over_midnight(clock_ns, notes, line)
        return Clock(seconds, None, None)
    days = days_of(stamps, clock_ns, pins, notes, file=file, line=line)
    if clocks is not None and (days == days[0]).all():
        passed = _midnights(clock_ns, notes, line)  # the date is that of the beginning
        days = days + passed
    local_ns = (days - days[0]) * (_DAY_S * NS) + clock_ns
    began = datetime(1970, 1, 1) + timedelta(days=int(days[0]))  # noqa: DTZ001 (as written)
    began += timedelta(microseconds=int(clock_ns[0]) // 1000)
    if (zones != NO_ZONE).any():
        if (zones == NO_ZONE).any():
            raise mixed_stamps("some stamps have a zone and some have none", file, line)
        if (zones != zones[0]).any():
            notes.say("stamps of several zones, brought to one", line=line)
        local_ns = local_ns - zones.astype(np.int64) * (60 * NS)
    elif pins.zone is not None:
        local_ns = _out_of_zone(local_ns, began, clock_ns[0], pins.zone, file)
        notes.say(f"stamps read as local time in {pins.zone}", line=line)
    else:
        local_ns = _over_repeated_hour(local_ns, notes, line)
        _ask_for_skipped_hour(local_ns, began, file, line)
    return Clock((local_ns - local_ns[0]) / NS, None, began)


def _clock_ns(stamps: Stamps, pins: ReadingPins, file: str, line: int | None) -> Days:
    """Return nanoseconds since midnight; where a stamp has two fields only, say which they are."""
    clock = np.where(stamps.clock_ns < 0, 0, stamps.clock_ns)
    if not (stamps.colons == 1).any() or (stamps.date[:, 0] >= 0).all():
        return clock
    first = clock // (3600 * NS)
    fields = pins.time_fields or ("minutes:seconds" if (first > 23).any() else None)
    back = np.flatnonzero(np.diff(clock) < 0)
    if fields is None and back.size and ((first[back] == 23) & (first[back + 1] == 0)).all():
        fields = "hours:minutes"  # minutes would go on to 59
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
    days = _midnights(clock_ns, notes, line)
    clock_ns = _over_repeated_hour(clock_ns + days * (_DAY_S * NS), notes, line)
    return np.asarray((clock_ns - clock_ns[0]) / NS)


def _midnights(clock_ns: Days, notes: NoteBook, line: int | None) -> Days:
    """Count the midnights that were passed before each row."""
    passed = np.diff(clock_ns) < -(_DAY_S // 2) * NS
    if passed.any():
        notes.say(f"passes midnight {_times(int(passed.sum()))}; counted on", line=line)
    return np.concatenate(([0], np.cumsum(passed)))


def _are_times(stamps: Stamps, pins: ReadingPins, file: str, line: int | None) -> bool:
    """Say whether stamps such as 10.11.12 are times of day rather than dates, or ask."""
    if pins.time_fields == "hours:minutes:seconds":
        return True
    days = by_order(stamps, pins.date_order or "day first")
    if days is None:
        return True
    steps = np.diff(days)
    # Whole months from row to row: the days stand still, which seconds would not do either.
    if pins.date_order or not (steps > 0).any() or steps[steps > 0].min() < _MONTH:
        return False
    raise LogError(
        "the time can be read as dates, or as hours, minutes and seconds between points.",
        code="unclear-time-fields",
        remedy='Say which with time_fields = "hours:minutes:seconds" or date_order = "day first" '
        "under [reading] in session.toml.",
        file=file,
        line=line,
    )


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


def _ask_for_skipped_hour(local_ns: Days, began: datetime, file: str, line: int | None) -> None:
    """Ask where the clock leaps by an hour, on a full hour, on a night when clocks are set forward.

    Raises
    ------
    LogError
        If it does: the rows may have paused for an hour, or gone on at their pace.
    """
    steps = np.diff(local_ns)
    ahead = np.sort(steps[steps > 0])
    if not ahead.size:
        return
    usual = float(ahead[(len(ahead) - 1) // 2])
    leaps = np.flatnonzero(np.abs(steps - 3600 * NS - usual) <= 0.5 * usual)
    if usual >= 1800 * NS or len(leaps) != 1:
        return
    after = began + timedelta(microseconds=int(local_ns[leaps[0] + 1] - local_ns[0]) // 1000)
    past_hour_s = 60 * after.minute + after.second + after.microsecond / 1e6
    if after.weekday() != _SUNDAY or after.hour > 3 or past_hour_s >= usual / NS:
        return
    raise LogError(
        f"the clock leaps ahead by an hour to {after:%Y-%m-%d %H:%M:%S}: summer time may have "
        "begun, or the logger paused.",
        code="unclear-hour",
        remedy='Say zone = "Europe/Vienna" (or the logger\'s own) under [reading] in '
        'session.toml, or zone = "UTC" if it paused.',
        file=file,
        line=line,
    )


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
