"""Further logs of every kind under data/cases: other delimiters, languages, places, encodings.

What each should give was worked out by hand from its text.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

from overlays.errors import LogError
from overlays.logs.reader import read_log

from .made import notes_of, read_bytes, samples_of

NBSP, NARROW, CURLY = (
    "\N{NO-BREAK SPACE}",
    "\N{NARROW NO-BREAK SPACE}",
    "\N{RIGHT SINGLE QUOTATION MARK}",
)


@dataclass(frozen=True)
class Variation:
    """A log, and what has to come out of it."""

    text: str | bytes
    samples: dict[str, list[Any]]
    noted: tuple[str, ...] = ()
    encoding: str = "utf-8"
    units: dict[str, str | None] = field(default_factory=dict)
    segments: list[tuple[int, int]] | None = None
    pins: dict[str, Any] = field(default_factory=dict)


V = Variation
KINDS: dict[str, list[Variation]] = {
    "byte-order mark before quotes": [
        V('\ufeff"Zeit (s)";"Temp (°C)"\n"0,0";"21,5"\n"0,5";"22,5"\n',
          {"Zeit": [0, 0.5], "Temp": [21.5, 22.5]}, units={"Temp": "°C"}),
        V('"time_s"\t"temp_c"\r\n0.0\t21.5\r\n0.5\t22.5\r\n',
          {"time_s": [0, 0.5], "temp_c": [21.5, 22.5]}, encoding="utf-16"),
        V("\ufeff\ufeff'time_s','temp_c'\n0,1\n1,2\n", {"time_s": [0, 1], "temp_c": [1, 2]}),
    ],
    "grouped thousands": [
        V(f"Temps (s);Pression (Pa)\n0,0;1{NARROW}013,25\n0,1;12{NARROW}345,5\n",
          {"Temps": [0, 0.1], "Pression": [1013.25, 12345.5]}),
        V(f"Zeit [s];Kraft [N]\n0.0;1{CURLY}013.25\n0.1;12'345.75\n",
          {"Zeit": [0, 0.1], "Kraft": [1013.25, 12345.75]}),
        V(f"Tid [s]\tTryck [Pa]\n0,0\t1{NBSP}013,25\n0,1\t1 234 567,5\n",
          {"Tid": [0, 0.1], "Tryck": [1013.25, 1234567.5]}, encoding="cp1252"),
        V('Time (s),Count\n0.0,"1,23,456.5"\n0.1,"12,34,567.0"\n',
          {"Time": [0, 0.1], "Count": [123456.5, 1234567]}),
    ],
    "preamble, names, units": [
        V("Serial;1234;;\nChannels;2;;\nt;flow;temp;\ns;l/min;°C;\n;;;\n0,0;3,5;20;\n0,1;4;21;\n",
          {"t": [0, 0.1], "flow": [3.5, 4], "temp": [20, 21]}, ("rows end in a delimiter",),
          units={"flow": "l/min", "temp": "°C"}),
        V("Title: Run, one\nOperator: a,b,c\n\n[s],[N]\nTime,Force\n0.0,1\n0.1,2\n",
          {"Time": [0, 0.1], "Force": [1, 2]}, units={"Force": "N"}),
        V("% logger 7\n# 時間（s）\t荷重（N）\n0.0\t1.5\n0.1\t1.6\n",
          {"時間": [0, 0.1], "荷重": [1.5, 1.6]}, units={"荷重": "N"}),
        V("Time,Force\nFLOAT,FLOAT\ns,N\n0,1\n1,2\n2,3\n",
          {"Time": [0, 1, 2], "Force": [1, 2, 3]}, units={"Force": "N"}),
        V("Name;Kraft;Temp\nEinheit;N;°C\nZeit [s]\n0,0;1,5;20,1\n0,1;1,6;20,2\n",
          {"Zeit": [0, 0.1], "Kraft": [1.5, 1.6]}, units={"Kraft": "N", "Temp": "°C"}),
        V("# logger\n# time[s]  force[N]\n0.0  1\n0.1  2\n0.2  3\n",
          {"time": [0, 0.1, 0.2], "force": [1, 2, 3]}, units={"force": "N"}),
        V("Time (s)    Force (N)\n0.0         1.5\n0.1         1.6\n",
          {"Time": [0, 0.1], "Force": [1.5, 1.6]}, units={"Force": "N"}),
    ],
    "rate in the preamble": [
        V("Abtastintervall;2,5;ms\nNr.;v\n1;1\n2;2\n3;3\n", {"elapsed_s": [0, 0.0025, 0.005]},
          ("rows counted at 400 a second",)),
        V("Sample Rate (Hz),200\nSample Number,v\n1,1\n2,2\n", {"elapsed_s": [0, 0.005]}),
        V("Sample Interval,1e-3,s\nCH1,CH2\n0.3,1\n0.1,2\n0.2,3\n",
          {"CH1": [0.3, 0.1, 0.2], "elapsed_s": [0, 0.001, 0.002]},
          ("rows counted at 1000 a second, as stated",)),
        V("Record Length,5,,0.000,0.1\nStep,0.001,,0.001,0.2\n,,,0.002,0.3\n,,,0.003,0.4\n",
          {"column 5": [0.1, 0.2, 0.3, 0.4], "elapsed_s": [0, 0.001, 0.002, 0.003]},
          ('time_column = "column 4"',)),
    ],
    "header again": [
        V("t\tv\ns\tmm\n0\t1\n1\t2\nt\tv\ns\tmm\n2\t3\n3\t4\n",
          {"v": [1, 2, 3, 4]}, ("5: repeats the header",), segments=[(3, 2), (7, 2)]),
        V('"t_s","v"\n0,1\n1,2\n2,3\nT_S,V\n3,4\n4,5\n',
          {"t_s": [0, 1, 2, 3, 4]}, ("5: repeats the header",), segments=[(2, 3), (6, 2)]),
        V("Logger 5\nt_s;v\n0,0;1\n0,1;2\nLogger 5\nt_s;v\n0,0;3\n0,1;4\n0,2;5\n",
          {"t_s": [0, 0.1, 0, 0.1, 0.2], "v": [1, 2, 3, 4, 5]}, ("6: repeats the header",),
          segments=[(3, 2), (7, 3)]),
    ],
    "trailing delimiters": [
        V("a_s;b_v;c;\n1;2,5;3;\n2;3,5;4;\n", {"b_v": [2.5, 3.5], "c": [3, 4]},
          ("rows end in a delimiter: an empty cell behind the last column left out",)),
        V("a_s,b_v\n1,2.5,,\n2,3.5,,\n", {"a_s": [1, 2], "b_v": [2.5, 3.5]},
          ("rows end in a delimiter: 2 empty cells behind the last column left out",)),
        V("a_s\tb_v\n1\t2.5\n2\t3.5\t\n3\t3.6\n", {"a_s": [1, 2, 3], "b_v": [2.5, 3.5, 3.6]},
          ("3: ends in a delimiter more than the other rows",)),
        V("t,v,,\n0,1\n1,2\n2,3\n", {"t": [0, 1, 2], "v": [1, 2, 3]},
          ("1: the names end in 2 delimiters more than the rows; left out",)),
    ],
    "NUL bytes": [
        V(b"time_s;mm\n0;12\n1;13\n2;1\0\0\n3;15\n", {"time_s": [0, 1, 3], "mm": [12, 13, 15]},
          ("4: holds NUL bytes",)),
        V(b"time_s,mm\n0,12\n1,13\n3,15\n" + b"\0" * 400, {"mm": [12, 13, 15]},
          ("5: holds NUL bytes",)),
        V(b"t\tmm\r\n0\t12\r\n" + b"\0" * 20 + b"\r\n" + b"\0" * 9 + b"\r\n3\t15\r\n4\t1\r\n",
          {"t": [0, 3, 4], "mm": [12, 15, 1]}, ("3: holds NUL bytes", "4: holds NUL bytes")),
    ],
    "encodings": [
        V("Zeit\tTemp °C\r\n0\t21,5\r\n1\t22,0\r\n", {"Temp °C": [21.5, 22]}, encoding="utf-16-be"),
        V("Zeit;Temp °C\r\n0,0;21,5\r\n1,0;22,0\r\n", {"Temp °C": [21.5, 22]}, encoding="utf-16"),
        V("時間 [s],温度 [℃]\n0.0,21.5\n0.1,21.6\n", {"時間": [0, 0.1], "温度": [21.5, 21.6]},
          encoding="cp932", units={"温度": "°C"}),
        V("Время [с];Давление [Па]\n0,0;1013,25\n0,1;1014,5\n",
          {"Время": [0, 0.1], "Давление": [1013.25, 1014.5]}, encoding="cp1251"),
    ],
    "past midnight": [
        V("clock,v\n11:59:58.500 PM,1\n11:59:59.250 PM,2\n12:00:00.000 AM,3\n",
          {"elapsed_s": [0, 0.75, 1.5]}, ("passes midnight once",)),
        V("Uhrzeit\tv\n23:59:59,500\t1,5\n24:00:00,000\t2,5\n00:00:00,500\t3,5\n",
          {"elapsed_s": [0, 0.5, 1]}),
        V("Zeit;v\n23:58;1,5\n23:59;2,5\n00:00;3,5\n", {"elapsed_s": [0, 60, 120]}),
        V("date,clock,v\n2025-03-11,23:59:59,1\n2025-03-11,00:00:00,2\n2025-03-11,00:00:01,3\n",
          {"elapsed_s": [0, 1, 2]}, ("passes midnight once",)),
        V("Tid;v\n23.59.59;1,5\n00.00.00;2,5\n00.00.01;3,5\n", {"elapsed_s": [0, 1, 2]},
          ("hours.minutes.seconds",)),
    ],
    "spreadsheet days": [
        V("Datum;v\n45292,3958333333;1,5\n45292,3958449074;2,5\n45292,3958506944;3,5\n",
          {"elapsed_s": [0, 1, 1.5], "Datum": [
              "2024-01-01T09:30:00.000", "2024-01-01T09:30:01.000", "2024-01-01T09:30:01.500"]}),
        V("date,v\n45292,1\n45293,2\n", {"elapsed_s": [0, 86400]}),
        V("time,v\n0.3958333333,1\n0.3958449074,2\n0.3958506944,3\n", {"elapsed_s": [0, 1, 1.5]},
          ("shares of a day",)),
        V("time,v\n0.0166666667,1\n0.0333333333,2\n0.0500000000,3\n",  # sixtieths of a second
          {"elapsed_s": [0, 0.0166666666, 0.0333333333]}),
    ],
    "order of day and month": [
        V("date\tv\n11/03/25\t1\n12/03/25\t2\n13/03/25\t3\n", {"elapsed_s": [0, 86400, 172800]},
          ("day first",)),
        V("date,v\n03/11/2025,1\n03/12/2025,2\n03/13/2025,3\n", {"elapsed_s": [0, 86400, 172800]},
          ("month first",)),
        V("日付,v\n25/03/11,1\n25/03/12,2\n25/03/13,3\n", {"elapsed_s": [0, 86400, 172800]}),
        V("Timestamp,v\n1/2/2025 11:59:59 PM,1\n1/3/2025 12:00:00 AM,2\n1/3/2025 12:00:01 AM,3\n",
          {"elapsed_s": [0, 1, 2]}, ("month first",)),
    ],
    "duplicate and backward": [
        V("t;v\n0,0;1\n0,1;2\n0,1;3\n0,1;4\n0,2;5\n", {"v": [1, 2, 5]},
          ("4: has the same stamp", "5: has the same stamp")),
        V("t_s\tv\n0\t1\n1\t2\n2\t3\n0.5\t4\n0.6\t5\n3\t6\n4\t7\n", {"v": [1, 2, 3, 6, 7]},
          ("a step of -1.5 s", "nothing is sorted")),
        V("clock,v\n10:00:00.2,1\n10:00:00.1,2\n10:00:00.3,3\n10:00:00.4,4\n", {"v": [1, 3, 4]},
          ("a step of -0.1 s",)),
    ],
    "channels of several rates": [
        V("t_s;fast;slow\n0,0;0;\n0,1;1;10\n0,2;2;\n0,3;3;\n0,4;4;18\n0,5;5;\n",
          {"fast": [0, 1, 2, 3, 4, 5], "slow": [None, 10, None, None, 18, None]},
          ("a value every 3 rows",)),
        V("t_s\tfast\tslow\n0.0\t0\t10\n0.1\t1\tNaN\n0.2\t2\t18\n0.3\t3\tNaN\n0.4\t4\t26\n",
          {"slow": [10, None, 18, None, 26]}, ("a value every 2 rows",)),
        V("t_s,a,b\n0.0,1,\n0.1,,5\n0.2,2,\n0.3,,6\n0.4,3,\n0.5,,7\n",
          {"a": [1, None, 2, None, 3, None], "b": [None, 5, None, 6, None, 7]},
          ("column 'a' has a value every 2", "column 'b' has a value every 2")),
    ],
    "gaps": [
        V("Zeit [s];v\n0,0;1,5\n0,1;#NV\n0,2;2,5\n", {"v": [1.5, None, 2.5]}, ("'#NV'",)),
        V("t_s,v\n0,10\n1,OVER\n2,11\n3,\n4,12\n5,#N/A\n6,13\n", {
            "v": [10, None, 11, None, 12, None, 13]}, ("'OVER'",)),
        V("t\tv\n0\t1\n1\t----\n2\t3\n3\t n.a.\n4\t-1.#IND\n5\t6\n",
          {"v": [1, None, 3, None, None, 6]}, ("'n.a.'",)),
    ],
    "rows of a summary": [
        V("t_s,v\n0,1\n1,2\n2,3\nAverage,2\nMax,3\n", {"v": [1, 2, 3]}, ("5: 'Average,2'",)),
        V("Zeit;Wert\n0,0;1\n0,1;2\n\nMittelwert;1,5\n", {"Wert": [1, 2]}, ("'Mittelwert;1,5'",)),
        V("Time\ta\tb\n0.0\t1\t2\n0.1\t1\t2\n\t1\t2\n", {"a": [1, 1]}, ("has no time",)),
    ],
    "stamps in words": [
        V("Hora;v\n11:59:59 a. m.;1,5\n12:00:00 p. m.;2,5\n", {"elapsed_s": [0, 1]}),
        V(f"Time,v\n11:59:59{NARROW}AM,1\n12:00:00{NARROW}PM,2\n", {"elapsed_s": [0, 1]}),
        V("時刻,v\n午前11:59:59,1\n午後12:00:00,2\n", {"elapsed_s": [0, 1]}),
        V("Date;v\n11 févr. 2025 10:00:00;1,5\n11 févr. 2025 10:00:01;2,5\n",
          {"elapsed_s": [0, 1], "Date": ["2025-02-11T10:00:00.000", "2025-02-11T10:00:01.000"]}),
        V('Date,v\n"Mar 11, 2025 10:00:00 AM",1\n"Mar 11, 2025 10:00:01 AM",2\n',
          {"Date": ["2025-03-11T10:00:00.000", "2025-03-11T10:00:01.000"]}),
    ],
    "milliseconds apart": [
        V("Date;Time;ms;v\n11.03.2025;10:00:00;750;1,5\n11.03.2025;10:00:01;0;1,6\n",
          {"elapsed_s": [0, 0.25], "Date": ["2025-03-11T10:00:00.750", "2025-03-11T10:00:01.000"]},
          ("milliseconds stand in 'ms'",)),
        V("clock,millis,v\n10:00:00,0,1\n10:00:00,500,2\n10:00:01,0,3\n",
          {"elapsed_s": [0, 0.5, 1], "v": [1, 2, 3]}),
        V("time,v\n0 days 23:59:59.5,1\n1 days 00:00:00,2\n", {"elapsed_s": [0, 0.5]}),
    ],
    "since 1970": [
        V("epoch,v\n1741687200.0,1\n1741687200.1,2\n", {"elapsed_s": [0, 0.1]}),
        V("epoch_ms;v\n1741687200000;1\n1741687200100;2\n", {"elapsed_s": [0, 0.1]}),
        V("timestamp_ns\tv\n1741687200000000000\t1\n1741687200100000000\t2\n",
          {"elapsed_s": [0, 0.1]}),
    ],
}  # fmt: skip


@pytest.mark.parametrize(
    "variation",
    [
        pytest.param(v, id=f"{kind} {i}")
        for kind, all_of in KINDS.items()
        for i, v in enumerate(all_of)
    ],
)
def test_variations(tmp_path: Path, variation: Variation) -> None:
    """Samples, units, segments and the note come out as worked out by hand."""
    text = variation.text
    data = text if isinstance(text, bytes) else text.encode(variation.encoding)
    log = read_bytes(tmp_path, data, **variation.pins)
    samples = samples_of(log)
    for name, values in variation.samples.items():
        assert samples[name] == pytest.approx(values, abs=1e-9), name
    for words in variation.noted:
        assert words in notes_of(log)
    for name, unit in variation.units.items():
        assert {column.name: column.unit for column in log.columns}[name] == unit
    if variation.segments is not None:
        assert [(s.first_line, s.n) for s in log.segments] == variation.segments


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"\xef\xbb\xbf", "the file is empty: it holds only a byte-order mark"),
        (b"\xff\xfe", "the file is empty: it holds only a byte-order mark"),
        (b"\r\n \r\n", "the file is empty: it holds only blank lines"),
        ("t;temp\ns;°C\n".encode(), "columns 't', 'temp', but no data rows"),
        (b"# logger\nt_s\ttemp_c\n", "columns 't_s', 'temp_c', but no data rows"),
        ('\ufeff"t_s","temp_c"\r\n,\r\n'.encode(), "columns 't_s', 'temp_c', but no data rows"),
        (b"temp_c\n", "column 'temp_c', but no data rows"),
    ],
)  # fmt: skip
def test_nothing_to_read(tmp_path: Path, data: bytes, words: str) -> None:
    """A file without rows is one clear error that says what it does hold."""
    with pytest.raises(LogError) as caught:
        read_bytes(tmp_path, data)
    assert words in caught.value.message
    assert caught.value.file == "log.csv"


@pytest.mark.parametrize(
    ("text", "code", "words"),
    [
        ("time,v\n2025-03-30 01:59:58,1\n2025-03-30 01:59:59,2\n2025-03-30 03:00:00,3\n",
         "unclear-hour", "zone = "),
        ("stamp,v\n45292.395833,1\n45292.395845,2\n45292.395856,3\n", "unclear-time-unit",
         "serial day"),
        ("time,v\n739252.395833333,1\n739252.395844907,2\n", "unclear-time-unit",
         'time_unit = "day"'),
        ("Tid;v\n10.11.12;1,5\n10.11.13;2,5\n10.11.14;3,5\n", "unclear-time-fields",
         "hours:minutes:seconds"),
        ("time,v\n10:00:00,000,1.5\n10:00:00,250,2.5\n", "names-do-not-fit",
         "both delimiter and decimal mark"),
    ],
)  # fmt: skip
def test_asked(tmp_path: Path, text: str, code: str, words: str) -> None:
    """What could be read in two ways is asked, and the remedy names what decides."""
    with pytest.raises(LogError) as caught:
        read_bytes(tmp_path, text.encode())
    assert caught.value.code == code
    assert words in caught.value.remedy


@pytest.mark.parametrize(
    "name", ["Prüfstand 3 (été) – вода.csv", "log, with; marks & 100 %.txt", "  温度 #2 .CSV"]
)
def test_names_of_files(tmp_path: Path, name: str) -> None:
    """A file opens whatever it is called, and is told by that name."""
    (tmp_path / name).write_text("t_s,v\n0,1\n1,2\n", encoding="utf-8")
    log = read_log(tmp_path / name, file=name)
    assert (log.file, len(log.time_s)) == (name, 2)
