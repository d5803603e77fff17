"""Damaged logs, thousands of them: right samples or one clear error, and never long."""

from __future__ import annotations

import random
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from overlays.errors import LogError
from overlays.model.trace import Log

from .made import read_bytes

COUNT = 2000
LONGEST_S = 5.0


def plain(chance: random.Random) -> tuple[list[str], dict[str, tuple[float, float]]]:
    """Make the lines of a log, and its rows by the text of their time."""
    delimiter, mark = chance.choice([(",", "."), (";", ","), ("\t", "."), (";", ".")])
    n = chance.randint(30, 60)
    rows = {
        f"{i / 100:.3f}": (round(chance.uniform(-99, 99), 4), round(chance.uniform(0, 5), 4))
        for i in range(n)
    }
    lines = [delimiter.join(["t_s", "a", "b"])]
    for key, (a, b) in rows.items():
        lines.append(delimiter.join([key, f"{a:.4f}", f"{b:.4f}"]).replace(".", mark))
    return lines, rows


def drop_lines(lines: list[str], chance: random.Random) -> bytes:
    for _ in range(chance.randint(1, 5)):
        del lines[chance.randrange(1, len(lines))]
    return text(lines)


def double_lines(lines: list[str], chance: random.Random) -> bytes:
    at = chance.randrange(1, len(lines))
    return text([*lines[:at], lines[at - 1] if at > 1 else lines[1], *lines[at:]])


def nul_lines(lines: list[str], chance: random.Random) -> bytes:
    at = chance.randrange(1, len(lines))
    lines[at] = "\0" * chance.randint(1, 64) + chance.choice(["", lines[at]])
    return text(lines)


def cut_lines(lines: list[str], chance: random.Random) -> bytes:
    at = chance.randrange(1, len(lines))
    # Within its last number a line is whole as far as anybody can tell.
    last = lines[at].rfind(lines[0][3])
    lines[at] = lines[at][: chance.randint(0, last)]
    return text(lines)


def cut_end(lines: list[str], chance: random.Random) -> bytes:
    whole = text(lines)
    return whole[: chance.randint(len(whole) // 2, len(whole))]


def words(lines: list[str], chance: random.Random) -> bytes:
    at = chance.randrange(1, len(lines))
    delimiter = lines[0][3]
    cells = lines[at].split(delimiter)
    cells[chance.randint(1, 2)] = chance.choice(["ERR", "OL", "inf", "", "---", "NaN", "1.2.3"])
    lines[at] = delimiter.join(cells)
    return text(lines)


def notes(lines: list[str], chance: random.Random) -> bytes:
    for _ in range(chance.randint(1, 4)):
        lines.insert(
            chance.randrange(len(lines)), chance.choice(["# note", "", "restart", "-----"])
        )
    return text(lines)


def header_again(lines: list[str], chance: random.Random) -> bytes:
    lines.insert(chance.randrange(2, len(lines)), lines[0])
    return text(lines)


def encode_otherwise(lines: list[str], chance: random.Random) -> bytes:
    end = chance.choice(["\n", "\r\n", "\r"])
    return end.join([*lines, ""]).encode(chance.choice(["utf-8-sig", "utf-16", "cp1252"]))


def text(lines: list[str]) -> bytes:
    return "\n".join([*lines, ""]).encode()


KEEPING: list[Callable[[list[str], random.Random], bytes]] = [
    drop_lines, double_lines, nul_lines, cut_lines, cut_end, words, notes, header_again,
    encode_otherwise,
]  # fmt: skip


def garble(data: bytes, chance: random.Random) -> bytes:
    """Change bytes at random: what comes out may mean anything."""
    found = bytearray(data)
    for _ in range(chance.randint(1, 30)):
        at = chance.randrange(len(found))
        kind = chance.randrange(4)
        if kind == 0:
            found[at] = chance.randrange(256)
        elif kind == 1:
            del found[at : at + chance.randint(1, 20)]
        elif kind == 2:
            found[at:at] = bytes(chance.randrange(256) for _ in range(chance.randint(1, 20)))
        else:
            found[at:at] = found[: chance.randint(1, 200)]
        if not found:
            return b""
    return bytes(found)


def check(log: Log, rows: dict[str, tuple[float, float]]) -> None:
    """Every sample is one of the original's, at its own time; gaps may be more."""
    named = {column.name: column.values for column in log.columns}
    assert set(named) <= {"a", "b"}
    for i, seconds in enumerate(log.time_s.tolist()):
        original = rows[f"{seconds:.3f}"]
        for place, name in enumerate(("a", "b")):
            value = named[name][i]
            assert np.isnan(value) or value == original[place]


@pytest.mark.parametrize("seed", range(100))
def test_damage_gives_right_samples_or_one_error(tmp_path: Path, seed: int) -> None:
    """A damaged log gives samples of the whole one at their times, or one clear error."""
    one(tmp_path, seed)


@pytest.mark.slow
def test_thousands_of_damaged_logs(tmp_path: Path) -> None:
    """The same for many more; none takes long."""
    for seed in range(100, COUNT):
        one(tmp_path, seed)


def read_or_refuse(folder: Path, data: bytes) -> tuple[Log | None, LogError | None]:
    try:
        return read_bytes(folder, data), None
    except LogError as error:
        return None, error


def one(folder: Path, seed: int) -> None:
    chance = random.Random(seed)  # noqa: S311 (a seeded test, no secret)
    lines, rows = plain(chance)
    wild = seed % 3 == 0
    data = chance.choice(KEEPING)(lines, chance)
    if wild:
        data = garble(data, chance)
    start = time.monotonic()
    log, refused = read_or_refuse(folder, data)
    assert time.monotonic() - start < LONGEST_S, seed
    if log is None:
        assert refused is not None
        assert (refused.file, bool(refused.remedy)) == ("log.csv", True), seed
        assert "\n" not in refused.message, seed
        return
    assert len(log.time_s) == sum(segment.n for segment in log.segments), seed
    if not wild:
        check(log, rows)
        assert len(log.time_s) >= 10, seed
