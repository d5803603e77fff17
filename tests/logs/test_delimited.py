"""Kinds of delimited logs, each in its smallest form."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from overlays.errors import LogError

from .made import notes_of, read_bytes, read_text, samples_of

V = [1.0, 2.0, 3.0]


@pytest.mark.parametrize(
    ("text", "elapsed", "values"),
    [
        ("t;v\n0,0;1,5E-03\n0,1;2,5e+02\n0,2;-3,0E1\n", [0, 0.1, 0.2], [0.0015, 250, -30]),
        ("t_s\tv\n0,0\t-1,5\n0,1\t-2,5\n", [0, 0.1], [-1.5, -2.5]),
        ("t_s|v\n0|1\n1|2\n", [0, 1], [1, 2]),
        ("   t      v\n 0.00   1.5\n 0.01  -1.7\n", [0, 0.01], [1.5, -1.7]),
        ('t_s,v\n0,"1,013.25"\n1,"1,014.50"\n', [0, 1], [1013.25, 1014.5]),
        ("t_s;v\n0;1'013.25\n1;1'014.50\n", [0, 1], [1013.25, 1014.5]),
        ("t_s;v\n0;1\N{NO-BREAK SPACE}013,25\n1;999,50\n", [0, 1], [1013.25, 999.5]),
        ("sep=;\nt;v\n0;1,5\n1;2,5\n", [0, 1], [1.5, 2.5]),
        ("Time (ms);v\n0;1\n10;2\n20;3\n", [0, 0.01, 0.02], V),
        ("millis,v\n10234,1\n10244,2\n10254,3\n", [0, 0.01, 0.02], V),
        ("Zeit [min],v\n0,1\n0.5,2\n", [0, 30], [1, 2]),
        ("rate: 100 Hz\nsample,v\n0,1\n1,2\n2,3\n", [0, 0.01, 0.02], None),
        ("rate: 100 Hz\ntime,v\n0,1\n10,2\n20,3\n", [0, 0.01, 0.02], V),
        ("0.0,1.5\n0.1,1.6\n0.2,1.7\n", [0, 0.1, 0.2], [1.5, 1.6, 1.7]),
        ("time v\n2025-03-11 10:00:00.0 4.5\n2025-03-11 10:00:00.5 4.6\n", [0, 0.5], [4.5, 4.6]),
        ("Date,Time,v\n11/03/2025,10:00:00.0,1\n11/03/2025,10:00:00.5,2\n", [0, 0.5], [1, 2]),
        ("t_s,state,v\n0,RUN,1\n1,RUN,2\n2,STOP,3\n", [0, 1, 2], V),
        ("t_s,v\n0,\N{MINUS SIGN}1.5\n1,+2.5\n", [0, 1], [-1.5, 2.5]),
        ("t_s,v\n0,1\n# mark\n1,2\n\n2,3\n", [0, 1, 2], V),
        ("t_s,v\n0,1\n\ufefft_s,v\n1,2\n2,3\n", [0, 1, 2], V),
        ("a\nrate 1 Hz\nt_s,v\n0,1\na\nrate 1 Hz\nt_s,v\n1,2\n2,3\n", [0, 1, 2], V),
        ("t;v\n[s];[-]\n0;1\n1;2\n2;3\n", [0, 1, 2], V),
        ('"t\n(s)","v\n(N)"\n0,1\n1,2\n2,3\n', [0, 1, 2], V),
        (",t_s,v\n0,0.0,1\n1,0.1,2\n2,0.2,3\n", [0, 0.1, 0.2], V),
        ("t_s,v\n1,0.0,1\n2,0.1,2\n3,0.2,3\n", [0, 0.1, 0.2], V),
        ("t_s,v\n0,1\n1,2\n2,3", [0, 1, 2], V),
        ("# said\n" * 3000 + "t_s,v\n0,1\n1,2\n2,3\n", [0, 1, 2], V),
        ("day,t_s,v\n1,0,1\n1,1,2\n1,2,3\n", [0, 1, 2], V),
        ("note;x;y\nt_s;v;w\n0;1;5\n1;2;5\n2;3;5\n", [0, 1, 2], V),
    ],
)
def test_kinds(tmp_path: Path, text: str, elapsed: list[float], values: list[float] | None) -> None:
    """Time and values come out right, whatever the logger's habits."""
    samples = samples_of(read_text(tmp_path, text))
    assert samples["elapsed_s"] == pytest.approx(elapsed)
    if values is not None:
        named = [name for name in samples if name.startswith(("v", "column 2"))]
        assert samples[named[0]] == values


@pytest.mark.parametrize(
    ("encoding", "sign"),
    [
        ("utf-8", "°"), ("utf-8-sig", "°"), ("cp1252", "°"), ("utf-16", "°"), ("utf-16-le", "x"),
        ("utf-16-be", "x"), ("utf-32", "°"),
    ],
)  # fmt: skip
def test_encodings(tmp_path: Path, encoding: str, sign: str) -> None:
    """Byte-order marks, zero bytes and bytes that UTF-8 lacks tell the encoding."""
    log = read_text(tmp_path, f"t_s;{sign}C\n0,0;21,5\n0,5;22,0\n", encoding)
    assert samples_of(log)[f"{sign}C"] == [21.5, 22.0]
    assert encoding.startswith(str(log.encoding)[:6])


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r", "\r\r\n"])
def test_line_ends(tmp_path: Path, end: str) -> None:
    """All line ends are one, and line numbers hold."""
    log = read_text(tmp_path, end.join(["t_s,v", "0,1", "1,ERR", "2,3", ""]))
    assert samples_of(log)["v"] == [1, None, 3]
    assert "3: has 'ERR' under 'v'" in notes_of(log)


@pytest.mark.parametrize(
    ("text", "kept", "said"),
    [
        ("t_s,a,v\n0,1,2\n1,3\n2,5,6\n", [0, 2], "3: '1,3' has 2 of 3 cells; left out"),
        ("t_s,a,v\n0,1,2\n1,3,4,5,6\n2,5,6\n", [0, 2], "3: '1,3,4,5,6' has 5 of 3 cells"),
        ("t_s,v\n0.0,1.25\n0.1,1.50\n0.2,1.", [0, 0.1], "4: is cut off by the end of the file"),
        ("t_s,v\n0,1\n1,2\n2", [0, 1], "4: '2' has 1 of 2 cells; left out"),
        ("t_s,v\n0,1\n,2\n2,3\n", [0, 2], "3: ',2' has no time; left out"),
        ("t_s,v\n0,1\n1,2\x00\x00\n2,3\n", [0, 2], "3: holds NUL bytes; left out"),
        ("t_s,v\n0,1\n1,2\n99,3\n2,4\n3,5\n4,6\n", [0, 1, 2, 3, 4], "4: jumps ahead to 99 s"),
    ],
)
def test_damage_is_left_out_and_said(
    tmp_path: Path, text: str, kept: list[float], said: str
) -> None:
    """A damaged line is left out with its reason, and the others stay."""
    log = read_text(tmp_path, text)
    assert samples_of(log)["elapsed_s"] == pytest.approx(kept)
    assert said in notes_of(log)


def test_cells_that_are_no_numbers_are_gaps(tmp_path: Path) -> None:
    """Words, overloads and infinities are gaps that are told; nothing turns into 0."""
    log = read_text(tmp_path, "t_s,v\n0,1\n1,ERR\n2,3\n3,OL\n4,inf\n5,9.91E+37\n")
    assert samples_of(log)["v"] == [1, None, 3, None, None, None]
    assert notes_of(log).count("is no number; kept as a gap") == 4


def test_many_of_a_kind_are_summed_up(tmp_path: Path) -> None:
    """A thing that happens over and over is listed a few times, and counted."""
    rows = "".join(f"{i},{'ERR' if i % 2 else i}\n" for i in range(60))
    notes = notes_of(read_text(tmp_path, f"t_s,v\n{rows}"))
    assert notes.count("'ERR'") == 8
    assert "and 22 more cells that are no numbers" in notes


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("t;v\n0;1.250\n1;1.300\n", "unclear-decimal-mark"),
        ("t;v\n0,5;1.25\n1,5;1.35\n", "two-decimal-marks"),
        ("date,v\n03/04/2025,1\n04/04/2025,2\n", "unclear-date-order"),
        ("date,v\n13/04/2025,1\n04/14/2025,2\n", "mixed-stamps"),
        ("time,v\n10:00,1\n10:01,2\n", "unclear-time-fields"),
        ("time,v\n10234,1\n10244,2\n10254,3\n", "unclear-time-unit"),
        ("time,v\n45292.25,1\n45292.5,2\n", "unclear-time-unit"),
        ("t_s,v\n" + "".join(f"{i // 5},{i}\n" for i in range(40)), "coarse-clock"),
        ("v,w\n5,1\n3,2\n4,3\n", "no-time-column"),
        ("sample,v\n1,1\n2,2\n3,3\n", "no-rate"),
        ("t,v\n0,0,21,5\n0,1,22,5\n0,2,23,5\n", "names-do-not-fit"),
        ("t_s,a,b\n0,1\n1,2\n2,3\n", "names-do-not-fit"),
        ("t_s,a,b\n0,1,2\nt_s,b,a\n2,6,5\n", "changed-header"),
        ("t_s,v\n" + "".join(f"{i % 3},{i}\n" for i in range(99)), "disordered-time"),
        ("t_s,v\n" + "".join(f"5,{i}\n" for i in range(99)), "coarse-clock"),
        ("This is prose.\nIt has lines, and commas.\n", "no-data-rows"),
        ("t_s,v\nx,y\n", "no-data-rows"),
        ("", "empty-log"),
        ("\n\n\n", "empty-log"),
        ("\ufeff", "empty-log"),
    ],
)
def test_what_is_unclear_is_asked(tmp_path: Path, text: str, code: str) -> None:
    """What can be read in two ways, or not at all, is one error that says what to do."""
    with pytest.raises(LogError) as caught:
        read_text(tmp_path, text)
    assert (caught.value.code, caught.value.file) == (code, "log.csv")
    assert caught.value.remedy


@pytest.mark.parametrize(
    ("text", "pins", "elapsed", "values"),
    [
        ("t;v\n0;1.250\n1;1.300\n", {"decimal": "."}, [0, 1], [1.25, 1.3]),
        ("t;v\n0;1.250\n1;1.300\n", {"decimal": ","}, [0, 1], [1250, 1300]),
        (
            "date,v\n03/04/2025,1\n04/04/2025,2\n",
            {"date_order": "month first"},
            [0, 31 * 86400],
            [1, 2],
        ),
        ("time,v\n10:00,1\n10:01,2\n", {"time_fields": "minutes:seconds"}, [0, 1], [1, 2]),
        ("time,v\n10234,1\n10244,2\n", {"time_unit": "ms"}, [0, 0.01], [1, 2]),
        ("time,v\n45292.25,1\n45292.5,2\n", {"time_kind": "serial day"}, [0, 21600], [1, 2]),
        ("v,w\n5,1\n3,2\n", {"time_kind": "row number", "rate": "10 Hz"}, [0, 0.1], [5, 3]),
        ("v,w\n5,1\n3,2\n", {"time_column": "w"}, [0, 1], [5, 3]),
        ("t_s,v\n0,1\n9,2\n0,3\n1,4\n2,5\n", {"segment": 2}, [0, 1, 2], [3, 4, 5]),
        ("x,y\nt_s,v\n0,1\n1,2\n", {"header_line": 2}, [0, 1], [1, 2]),
        ("t_s v,w\n0 1,5\n1 2,5\n", {"delimiter": " "}, [0, 1], None),
        ("t_s;v\n0;1\n1;2\n", {"encoding": "ascii"}, [0, 1], [1, 2]),
    ],
)
def test_pins_decide(
    tmp_path: Path,
    text: str,
    pins: dict[str, Any],
    elapsed: list[float],
    values: list[float] | None,
) -> None:
    """What the session pins is taken as it is."""
    samples = samples_of(read_text(tmp_path, text, **pins))
    assert samples["elapsed_s"] == pytest.approx(elapsed)
    assert values is None or samples["v"] == values


def test_coarse_stamps_are_spread_when_pinned(tmp_path: Path) -> None:
    """Rows that share a stamp lie evenly up to the next one, if the session says so."""
    text = "t_s,v\n" + "".join(f"{i // 5},{i}\n" for i in range(40))
    elapsed = samples_of(read_text(tmp_path, text, same_stamp="spread"))["elapsed_s"]
    assert elapsed == pytest.approx([i / 5 for i in range(40)])
    kept = samples_of(read_text(tmp_path, text, same_stamp="keep first"))
    assert kept["v"] == [float(i) for i in range(0, 40, 5)]


@pytest.mark.parametrize(
    "data",
    [bytes(range(256)) * 50, b"\0" * 1000, b"a" * (5 << 20)],
    ids=["binary", "only NUL", "one endless line"],
)
def test_what_is_no_text_is_refused(tmp_path: Path, data: bytes) -> None:
    """Binary data and endless lines are one clear error."""
    with pytest.raises(LogError) as caught:
        read_bytes(tmp_path, data)
    assert caught.value.code in {"unknown-layout", "no-lines", "no-data-rows"}


def test_every_assumption_is_noted(tmp_path: Path) -> None:
    """The reading note tells encoding, delimiter, decimal mark, header, units and time."""
    log = read_text(tmp_path, "made by a logger\nt;F\ns;kN\n0,0;1,5\n0,1;2,5\n")
    notes = notes_of(log)
    for words in (
        "encoding utf-8", "separated by semicolon", "decimal comma", "2: column names",
        "row of units", "unit of 'F' is kN", "1: passed over",
    ):  # fmt: skip
        assert words in notes
