"""Rates, frames and labels against SMPTE ST 12-1 and other people's libraries."""

from __future__ import annotations

import csv
import pickle
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from timecode.timecode import Timecode

from overlays.errors import TimecodeError
from overlays.timecode import (
    USUAL_RATES,
    Timebase,
    frames_from_s,
    parse_rate,
    rate_text,
    s_from_frames,
    whole_frames,
)
from tests.outside import Row, rows

CASES = Path(__file__).parent / "data" / "cases"
NTSC = Fraction(30000, 1001)
DROP_RATES = (NTSC, 2 * NTSC)
TIMEBASES = tuple(Timebase(rate) for rate in USUAL_RATES) + tuple(
    Timebase(rate, drop=True) for rate in DROP_RATES
)
# What the `timecode` package calls the rates.
THEIR_RATES = {
    "24000/1001": "23.976", "24": "24", "25": "25", "30000/1001": "29.97", "30": "30",
    "48": "48", "50": "50", "60000/1001": "59.94", "60": "60",
}  # fmt: skip


def _timebase(text: str) -> Timebase:
    rate, _, drop = text.partition(" ")
    return Timebase(parse_rate(rate), drop == "drop")


def _frames_per_day(timebase: Timebase) -> int:
    # 24 h less, in drop-frame, 2 (4) numbers in 54 minutes of each hour: SMPTE ST 12-1.
    dropped = timebase.nominal // 15 * 54 * 24 if timebase.drop else 0
    return timebase.nominal * 86400 - dropped


@pytest.mark.parametrize("row", rows("timecode", "label."), ids=lambda row: row.id)
def test_labels_are_those_of_the_standard(row: Row) -> None:
    """A frame's label is the one SMPTE ST 12-1 gives it, and is read back as that frame."""
    timebase = _timebase(row.input["rate"])
    frame = row.input["frame"] % _frames_per_day(timebase)  # labels begin again every day
    assert timebase.label(frame) == row.expected
    assert timebase.frame(row.expected) == frame


@pytest.mark.parametrize("row", rows("timecode", "valid."), ids=lambda row: row.id)
def test_only_labels_that_exist_are_read(row: Row) -> None:
    """A label left out by drop-frame or with too large a part is refused, others are read."""
    timebase = _timebase(row.input["rate"])
    if row.expected["valid"]:
        frame = timebase.frame(row.input["label"])
        assert frame == row.expected.get("frame", frame)
        assert timebase.label(frame) == row.input["label"]
        return
    with pytest.raises(TimecodeError) as caught:
        timebase.frame(row.input["label"])
    assert caught.value.code == "bad-timecode"
    assert row.input["label"] in caught.value.message


@pytest.mark.parametrize("row", rows("timecode", "framecount."), ids=lambda row: row.id)
def test_a_length_has_the_nearest_count_of_frames(row: Row) -> None:
    """Frames are duration times the exact rate, to the nearest, halves up (exact arithmetic)."""
    for name, expected in row.expected.items():
        rate = next(Fraction(r) for r, theirs in THEIR_RATES.items() if theirs == name)
        seconds = Fraction(row.input["duration_s"])
        assert seconds * rate == Fraction(expected["exact"])
        assert frames_from_s(seconds, rate) == expected["nearest_half_up"]


@pytest.mark.parametrize("row", rows("timecode", "frametime."), ids=lambda row: row.id)
def test_a_frame_begins_at_an_exact_time(row: Row) -> None:
    """Frame k begins at k·1001/30000 s, and its millisecond leads back to it."""
    seconds = s_from_frames(row.input["frame"], parse_rate(row.input["rate"]))
    assert seconds == Fraction(row.expected["t_exact"])
    milliseconds = row.expected["srt_ms_half_up"]
    assert frames_from_s(seconds, Fraction(1000)) == milliseconds
    assert frames_from_s(Fraction(milliseconds, 1000), NTSC) == row.input["frame"]


def test_a_rounded_rate_would_drift() -> None:
    """Over an hour 29.97 and 30000/1001 are 0.108 frames apart (exact arithmetic)."""
    (row,) = rows("timecode", "decimal_vs_rational")
    assert Fraction(row.expected["30000/1001"]) == 3600 * NTSC
    assert 3600 * Fraction("29.97") == Fraction(row.expected["29.97"])


@pytest.mark.parametrize("row", rows("timecode", "elapsed."), ids=lambda row: row.id)
def test_non_drop_labels_fall_behind_the_clock(row: Row) -> None:
    """Non-drop label 01:00:00:00 at 30000/1001 and 24000/1001 is reached after 3603.6 s."""
    timebase = _timebase(row.input["rate"])
    elapsed = s_from_frames(timebase.frame(row.input["label"]), timebase.rate)
    assert elapsed == Fraction(str(row.expected["elapsed_s"]))


def test_counts_of_drop_frame() -> None:
    """A minute, ten minutes, an hour and a day have the frames that arithmetic says."""
    (row,) = rows("timecode", "counts.drop")
    timebase = _timebase(row.input["rate"])
    found = {
        "frames_per_minute": timebase.frame("00:02:00;02") - timebase.frame("00:01:00;02"),
        "frames_per_10min": timebase.frame("00:10:00;00"),
        "frames_per_hour": timebase.frame("01:00:00;00"),
        "frames_per_24h": _frames_per_day(timebase),
    }
    assert found == {key: row.expected[key] for key in found}


def test_case_drop_frame() -> None:
    """Labels of the case time_drop_frame (OpenTimelineIO issue 476) at 30 and 60 nominal."""
    expected = ["00:00:00;00", "00:00:59;29", "00:01:00;02", "00:09:59;29", "00:10:00;00",
                "01:00:00;00", "00:00:59;59", "00:01:00;04", "01:00:00;00"]  # fmt: skip
    with (CASES / "time_drop_frame.csv").open(newline="") as stream:
        lines = list(csv.DictReader(stream))
    rates = {"30": NTSC, "60": 2 * NTSC}
    labels = [
        Timebase(rates[line["nominal_fps"]], drop=True).label(int(line["frame"])) for line in lines
    ]
    assert labels == expected


def test_case_frame_counts() -> None:
    """Lengths of the case time_frame_counts (moviepy issue 2401) neither gain nor lose a frame."""
    seconds = ["3.041667", "3.066667", "8.96", "5.005", "0.041667", "60.06"]
    with (CASES / "time_frame_counts.csv").open(newline="") as stream:
        lines = list(csv.DictReader(stream))
    for line, text in zip(lines, seconds, strict=True):
        rate, frames = parse_rate(line["fps"]), int(line["frames"])
        assert frames_from_s(text, rate) == frames
        assert frames_from_s(float(text), rate) == frames
        assert round(float(s_from_frames(frames, rate)), 6) == float(text)


@given(timebase=st.sampled_from(TIMEBASES), data=st.data())
def test_label_and_frame_go_round(timebase: Timebase, data: st.DataObject) -> None:
    """Every frame of a day has one label, which is read back as it."""
    frame = data.draw(st.integers(0, _frames_per_day(timebase) - 1))
    assert timebase.frame(timebase.label(frame)) == frame


@given(timebase=st.sampled_from(TIMEBASES), data=st.data())
def test_the_timecode_package_agrees(timebase: Timebase, data: st.DataObject) -> None:
    """The `timecode` package 1.5.1 writes the same label (it counts frames from 1)."""
    frame = data.draw(st.integers(0, _frames_per_day(timebase) - 1))
    theirs = Timecode(
        THEIR_RATES[rate_text(timebase.rate)],
        frames=frame + 1,
        force_non_drop_frame=not timebase.drop,
    )
    # Below 48 frames/s its labels are written as ours; above, only the digits are compared.
    assert str(theirs).replace(";", ":") == timebase.label(frame).replace(";", ":")


@given(timebase=st.sampled_from(TIMEBASES), data=st.data())
def test_labels_follow_one_another(timebase: Timebase, data: st.DataObject) -> None:
    """A later frame has a later label."""
    frame = data.draw(st.integers(0, _frames_per_day(timebase) - 2))
    assert timebase.label(frame) < timebase.label(frame + 1)


@pytest.mark.parametrize("rate", DROP_RATES)
def test_drop_frame_leaves_out_108_numbers_an_hour(rate: Fraction) -> None:
    """The labels of an hour skip 108 (216) numbers, none in minutes 0, 10 … 50 (ST 12-1)."""
    timebase = Timebase(rate, drop=True)
    hour = timebase.frame("01:00:00;00")
    assert timebase.nominal * 3600 - hour == 108 * timebase.nominal // 30
    assert timebase.frame("00:10:00;00") == timebase.frame(f"00:09:59;{timebase.nominal - 1}") + 1


def test_the_last_label_of_the_day_is_the_last() -> None:
    """Past 23:59:59 there is no label, and none before zero."""
    timebase = Timebase(Fraction(25))
    assert timebase.label(25 * 86400 - 1) == "23:59:59:24"
    for frame in (25 * 86400, -1):
        with pytest.raises(TimecodeError, match="has no timecode") as caught:
            timebase.label(frame)
        assert caught.value.code == "timecode-range"


def test_drop_frame_exists_at_two_rates_only() -> None:
    """Drop-frame counting is refused where it does not exist, also at whole 30 and 60."""
    for rate in USUAL_RATES:
        if rate in DROP_RATES:
            assert Timebase(rate, drop=True).drop
            continue
        with pytest.raises(TimecodeError) as caught:
            Timebase(rate, drop=True)
        assert caught.value.code == "no-drop-frame"


@pytest.mark.parametrize("label", ["", "1:00:00:00", "00:00:00.00", "00:00:00", "٠٠:00:00:00",
                                   "-0:00:00:00", "00:00:00:00:00", "00;00;00;00"])  # fmt: skip
def test_what_is_no_label_is_refused(label: str) -> None:
    """Text of another form is refused, with an example of the right one."""
    with pytest.raises(TimecodeError, match="not a timecode") as caught:
        Timebase(Fraction(25)).frame(label)
    assert "01:00:00:00" in caught.value.remedy


def test_the_mark_has_to_fit_the_counting() -> None:
    """';' in non-drop and ':' in drop-frame are refused, unless either mark is allowed."""
    drop, plain = Timebase(NTSC, drop=True), Timebase(NTSC)
    with pytest.raises(TimecodeError, match="non-drop"):
        plain.frame("00:01:00;02")
    with pytest.raises(TimecodeError, match="drop-frame"):
        drop.frame("00:01:00:02")
    assert drop.frame("00:01:00:02", either_mark=True) == 1800
    assert plain.frame("00:01:00;02", either_mark=True) == 1802
    with pytest.raises(TimecodeError, match="leaves out"):
        drop.frame("00:01:00:00", either_mark=True)


@pytest.mark.parametrize(("text", "rate"), [
    ("30000/1001", NTSC), ("25", Fraction(25)), (24, Fraction(24)), (" 50 ", Fraction(50)),
    ("240", Fraction(240)), ("50/2", Fraction(25)),
])  # fmt: skip
def test_rates_are_read_exactly(text: str | int, rate: Fraction) -> None:
    """A rate is a whole number or a fraction of two, and is written as it is read."""
    assert parse_rate(text) == rate
    assert parse_rate(rate_text(rate)) == rate


@pytest.mark.parametrize("text", [
    "29.97", "0", "-25", "25/0", "0/1", "241", "1e3", "", "30000/1001/1", "ntsc", "٢٥", "9" * 400,
])  # fmt: skip
def test_other_rates_are_refused(text: str) -> None:
    """A rounded, absurd or unreadable rate is refused, with a rate that would do."""
    with pytest.raises(TimecodeError) as caught:
        parse_rate(text)
    assert caught.value.code == "bad-rate"
    assert "30000/1001" in caught.value.remedy


@given(frames=st.integers(0, 10**7), rate=st.sampled_from(USUAL_RATES))
def test_frames_and_seconds_go_round(frames: int, rate: Fraction) -> None:
    """A count of frames in exact seconds, or in milliseconds, is read back as that count."""
    seconds = s_from_frames(frames, rate)
    assert frames_from_s(seconds, rate) == frames
    # At 60 frames/s or less a frame is 16.7 ms or longer; half a millisecond cannot move it.
    milliseconds = frames_from_s(seconds, Fraction(1000))
    assert frames_from_s(Decimal(milliseconds) / 1000, rate) == frames


@given(st.fractions(min_value=-1000, max_value=1000))
def test_halves_are_rounded_away_from_zero(exact: Fraction) -> None:
    """Rounding is to the nearest, by half a frame at most, and the same on both sides of zero."""
    nearest = whole_frames(exact)
    assert abs(nearest - exact) <= Fraction(1, 2)
    assert whole_frames(-exact) == -nearest
    assert whole_frames(nearest + Fraction(1, 2) * (1 if nearest >= 0 else -1)) == nearest + (
        1 if nearest >= 0 else -1
    )


def test_seconds_are_taken_by_their_decimals() -> None:
    """A float means its shortest decimal text: 0.1 s at 25 frames/s is 2.5 frames, so 3."""
    assert frames_from_s(0.1, Fraction(25)) == 3
    assert frames_from_s("0.1", Fraction(25)) == 3
    assert frames_from_s(Decimal("-0.1"), Fraction(25)) == -3


@pytest.mark.parametrize("seconds", [float("nan"), float("inf"), "soon", "1/0"])
def test_what_is_no_length_is_refused(seconds: float | str) -> None:
    """Seconds that are no finite number are refused."""
    with pytest.raises(TimecodeError) as caught:
        frames_from_s(seconds, Fraction(25))
    assert caught.value.code == "bad-seconds"


def test_a_timebase_travels_to_workers() -> None:
    """A timebase is plain data: equal after pickling."""
    timebase = Timebase(NTSC, drop=True)
    assert pickle.loads(pickle.dumps(timebase)) == timebase  # noqa: S301 (our own bytes)
