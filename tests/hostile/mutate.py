"""Seeded damage to files: what disks, editors, strangers and their tools do to them."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

__all__ = ["HOSTILE", "damaged", "mutated"]

Chance = np.random.Generator

# Texts that mean something to somebody: parsers, terminals, pages, file systems, arithmetic.
HOSTILE = (
    "", " ", "\x00", "\n", "\r", "\r\n", "\t", "\x1b[2J", "\x9b31m", "\u202e", "\u2066", "\ufeff",
    "\ud7ff", "\uffff", "\U0001f9ff", "é", "e\u0301" * 40, "Ω", "温度", "'", '"', '"""', "'''",
    "\\", "\\u0000", "\\uD800", "\\U00110000", "#", "[", "]", "[[", "]]", "{", "}", "{{", "(", ")",
    "=", ",", ".", "..", "../", "../../etc/passwd", "/etc/passwd", "C:\\", "~", "-", "--", "```",
    "``` cue curves", "```beat\n", "## ", "<script>alert(1)</script>", "</style>", "<!--", "&amp;",
    "javascript:alert(1)", "=1+1", "@SUM(A1)", "1e999", "-1e999", "nan", "inf", "1e-999", "0", "-0",
    "-1", "1", "9" * 30, "9" * 400, "0x7fffffff", "1_0", "1__0", "00:00:00:00", "99:99:99;99",
    "-00:00:01.000 --> 00:00:02.000", "00:00:02.000 --> 00:00:01.000", "-->", "2026-02-30",
    "9999-12-31", "0000-00-00", "1 s", "-1 s", "1e9 s", "1 parsec", "m**9**9", "%", "%d", "%s" * 9,
    "{0}", "{alder}", "{brook settled}", "{brook settled minus weir settled in", "$(id)", "`id`",
    "CON", "aux.mov", "a" * 10_000, "[" * 500, "{a=" * 300, "a." * 300 + "b = 1", "x = 1\n" * 300,
    "true", "false", "null", "[]", "{}", "[1, 2]", "1e9 px", "__import__('os').system('id')",
    "../ledger.csv", "x" * 501, "8192", "100 %", "12 frames", "1e-300 s", "0 s", "3 s",
    "10:00:01:00", "fit", "live", "concat:a", "file:///etc/passwd", "http://localhost/",
)  # fmt: skip


def _span(data: str, chance: Chance) -> tuple[int, int]:
    first = int(chance.integers(0, len(data) + 1))
    return first, min(len(data), first + int(chance.geometric(0.08)))


def _cut(data: str, chance: Chance) -> str:
    first, last = _span(data, chance)
    return data[:first] + data[last:]


def _repeat(data: str, chance: Chance) -> str:
    first, last = _span(data, chance)
    return data[:last] + data[first:last] * int(chance.integers(1, 5)) + data[last:]


def _put_in(data: str, chance: Chance) -> str:
    place = int(chance.integers(0, len(data) + 1))
    return data[:place] + str(chance.choice(HOSTILE)) + data[place:]


def _replace(data: str, chance: Chance) -> str:
    first, last = _span(data, chance)
    return data[:first] + str(chance.choice(HOSTILE)) + data[last:]


def _other_sign(data: str, chance: Chance) -> str:
    if not data:
        return data
    place = int(chance.integers(0, len(data)))
    return (
        data[:place] + chr(ord(data[place]) ^ (1 << int(chance.integers(0, 7)))) + data[place + 1 :]
    )


def _lines(change: Callable[[list[str], Chance], list[str]]) -> Callable[[str, Chance], str]:
    def changed(data: str, chance: Chance) -> str:
        return "\n".join(change(data.split("\n"), chance))

    return changed


def _without_line(lines: list[str], chance: Chance) -> list[str]:
    place = int(chance.integers(0, len(lines)))
    return lines[:place] + lines[place + 1 :]


def _line_again(lines: list[str], chance: Chance) -> list[str]:
    first, second = (int(n) for n in chance.integers(0, len(lines), 2))
    return [*lines[:second], lines[first], *lines[second:]]


def _lines_swapped(lines: list[str], chance: Chance) -> list[str]:
    first, second = (int(n) for n in chance.integers(0, len(lines), 2))
    lines[first], lines[second] = lines[second], lines[first]
    return lines


def _value(lines: list[str], chance: Chance) -> list[str]:
    """Give a key another value: one of the hostile texts, quoted or bare."""
    keys = [place for place, line in enumerate(lines) if "=" in line]
    if keys:
        place = int(chance.choice(keys))
        text = str(chance.choice(HOSTILE))
        quoted = '"' + text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n") + '"'
        written = quoted if chance.random() < 0.85 else text
        lines[place] = f"{lines[place].partition('=')[0]}= {written}"
    return lines


def _number(data: str, chance: Chance) -> str:
    """Put another number in place of one."""
    places = [place for place, sign in enumerate(data) if sign.isdigit()]
    if not places:
        return data
    place = int(chance.choice(places))
    number = str(chance.choice(["0", "9", "-1", "1e9", "0.001", "99999999999999999999", "1e400"]))
    return data[:place] + number + data[place + 1 :]


_CHANGES: Sequence[Callable[[str, Chance], str]] = (
    _cut, _repeat, _put_in, _replace, _other_sign, _number, _number, _number,
    _lines(_without_line), _lines(_line_again), _lines(_lines_swapped),
    # What keeps a document well formed gets furthest.
    *[_lines(_value)] * 5,
)  # fmt: skip


def mutated(data: str, seed: int) -> bytes:
    """Return a text damaged in one to four ways; the same seed, the same damage.

    Parameters
    ----------
    data : str
        The text.
    seed : int
        Which damage.

    Returns
    -------
    bytes
        Mostly UTF-8.
    """
    chance = np.random.default_rng(seed)
    for _ in range(min(4, int(chance.geometric(0.6)))):
        data = _CHANGES[int(chance.integers(0, len(_CHANGES)))](data, chance)
    stored = data.encode("utf-8", "surrogatepass")
    if stored and chance.random() < 0.1:
        # A byte of another encoding, or of nothing at all.
        place = int(chance.integers(0, len(stored)))
        stored = stored[:place] + bytes([int(chance.integers(0, 256))]) + stored[place + 1 :]
    return stored


def damaged(stored: bytes, seed: int) -> bytes:
    """Change some bytes of a film, those of its tables at both ends rather, or cut it short."""
    chance = np.random.default_rng(seed)
    found = bytearray(stored)
    for _ in range(int(chance.integers(1, 30))):
        near, kind = int(chance.integers(0, min(len(found), 4000))), int(chance.integers(0, 3))
        place = (near // 5, len(found) - 1 - near, int(chance.integers(0, len(found))))[kind]
        found[place] = int(chance.integers(0, 256))
    if chance.random() < 0.2:
        del found[int(chance.integers(0, len(found))) :]
    return bytes(found)
