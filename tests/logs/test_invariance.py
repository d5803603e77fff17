"""Reading is the same whatever the delimiter, decimal mark, encoding and line ends."""

from __future__ import annotations

import math
import tempfile
from pathlib import Path

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from overlays.model.trace import Log

from .made import read_bytes

STYLES = st.tuples(
    st.sampled_from([(",", "."), (";", "."), (";", ","), ("\t", "."), ("\t", ","), ("|", ",")]),
    st.sampled_from(["utf-8", "utf-8-sig", "cp1252", "utf-16", "utf-32"]),
    st.sampled_from(["\n", "\r\n", "\r"]),
    st.booleans(),
)
CELLS = st.one_of(
    st.floats(-1e6, 1e6, allow_nan=False).map(lambda v: round(v, 4)), st.just(math.nan)
)
TABLES = st.lists(st.tuples(CELLS, CELLS), min_size=3, max_size=25)


def written(
    rows: list[tuple[float, float]], style: tuple[tuple[str, str], str, str, bool]
) -> bytes:
    """Write a table; the time has three decimals, so that the decimal mark is never unclear."""
    (delimiter, decimal), encoding, end, trailing = style
    lines = [delimiter.join(["Zeit [s]", "Kraft [N]", "Temp [°C]"])]
    for i, cells in enumerate(rows):
        texts = [f"{i / 8:.4f}", *("" if math.isnan(v) else f"{v:.4f}" for v in cells)]
        lines.append(delimiter.join(text.replace(".", decimal) for text in texts))
    if trailing:
        lines = [f"{line}{delimiter}" for line in lines]
    return end.join([*lines, ""]).encode(encoding)


def read(data: bytes, **pins: object) -> Log:
    with tempfile.TemporaryDirectory() as folder:
        return read_bytes(Path(folder), data, **pins)


@given(TABLES, STYLES)
def test_style_changes_nothing(
    rows: list[tuple[float, float]], style: tuple[tuple[str, str], str, str, bool]
) -> None:
    """The same table comes out of every way of writing it, and a gap never becomes a number."""
    log = read(written(rows, style))
    np.testing.assert_array_equal(log.time_s, np.arange(len(rows)) / 8)
    named = {column.name: column for column in log.columns}
    for place, (name, unit) in enumerate((("Kraft", "N"), ("Temp", "°C"))):
        np.testing.assert_array_equal(named[name].values, [row[place] for row in rows])
        assert named[name].unit == unit
    assert (log.delimiter, log.decimal) == style[0]


@given(TABLES, st.integers(-(10**6), 10**6), st.integers(1, 1000))
def test_clock_shift_changes_nothing(
    rows: list[tuple[float, float]], shift_ms: int, step_ms: int
) -> None:
    """Another start of the clock gives the same elapsed time and the same values."""
    logs = []
    for start in (0, shift_ms):
        body = "".join(
            f"{start + i * step_ms};{a};{b}\n".replace("nan", "") for i, (a, b) in enumerate(rows)
        )
        logs.append(read(f"t_ms;a;b\n{body}".encode()))
    np.testing.assert_allclose(
        logs[1].time_s - logs[1].time_s[0], logs[0].time_s, rtol=0, atol=1e-9
    )
    for one, other in zip(logs[0].columns, logs[1].columns, strict=True):
        np.testing.assert_array_equal(one.values, other.values)


@given(TABLES, st.sampled_from(["", "NaN", "---", "n/a", "ERR", "OL", "inf"]))
def test_nothing_never_becomes_zero(rows: list[tuple[float, float]], word: str) -> None:
    """However a logger writes nothing, it is a gap."""
    body = "".join(
        f"{i}.5,{word if math.isnan(a) else repr(a)},1\n" for i, (a, _) in enumerate(rows)
    )
    log = read(f"t_s,a,b\n{body}".encode())
    if all(math.isnan(a) for a, _ in rows):
        return
    if (column := next((c for c in log.columns if c.name == "a"), None)) is not None:
        np.testing.assert_array_equal(column.values, [a for a, _ in rows])
    else:
        # Where most cells are words, the column is one of words, and said to be left out.
        assert any("'a' holds words" in note.message for note in log.notes)
