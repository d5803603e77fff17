"""What a stranger can do to a session's folder: each a way of its own, seeded, used together."""

from __future__ import annotations

import os
import re
import shutil
from collections.abc import Callable
from functools import partial
from pathlib import Path

import numpy as np

from tests.hostile.bombs import LOGS
from tests.hostile.mutate import HOSTILE, mutated
from tests.hostile.sessions import FILES

__all__ = ["ATTACKS", "Attack", "Chance", "hostile"]

Chance = np.random.Generator
Attack = Callable[[Path, Chance], None]

# Names and notes that mean something to a terminal, a page, captions, an edit list or a table.
TEXTS = (
    "[red]Alder[/red]", "[link=http://127.0.0.1/]x[/link]", "<b>Alder</b>", "</title><script>a()",
    '"><img src=x onerror=a()>', "<!--", "]]>", "&lt;b&gt;", "--> 00:00:09.000", "{\\an8}Alder",
    "<c.red>A</c>", "WEBVTT", "NOTE x", "TITLE: x", "* FROM CLIP NAME: x", "=1+1", "+1", "-1", "@x",
    "=cmd|'/C calc'!A1", '"a";"b"', "a,b", "a\tb", "%s %n", "${HOME}", "$(id)", "`id`", "{{7*7}}",
    "{alder}", "CON", "NUL.txt", "..", "../..", "a/b", "a\\b", "C:x", "-rf", "a" * 500, "ΑΒ" * 250,
    "e" + "\u0301" * 400, "\u200d" * 100 + "a", "مرحبا", "\U0001f600", "١٢٣", "\ufdfa" * 80, " ",
    "",
)  # fmt: skip
ACTING = ("\x1b[2J", "\x1b]0;x\x07", "\x9b2J", "\u202egnp", "\u2066x", "\x00", "\x07", "a\r\nb")
ABSURD = (
    "0", "-1", "1", "999999999999", "1e308", "-0.0", "nan", "inf", "true", "[]", "{}", '""',
    '"0 s"',
    '"-1 s"', '"1e300 s"', '"1e-300 s"', '"9999 h"', '"1 parsec"', '"1 m**9**9"', '"1/0"', '"0/1"',
    '"99999999/1"', '"240"', '"1"', "[0, 0]", "[1, 99999]", "[8192, 8192]", "[16, 16]", "[1e9, 2]",
    '"99:99:99:99"', '"23:59:59:24"', '"00:00:00;00"', '"a" ', "1979-05-27", "9999-12-31",
    '"' + "9" * 400 + ' s"', '"1 ' + "m*" * 300 + 'm"', "[[[[]]]]", '["a", "a"]', '"fit"', '"live"',
)  # fmt: skip
PATHS = (
    "../../outside.csv", "/etc/passwd", "logs/../../outside.csv", "~/a.csv", "C:\\a.csv",
    "\\\\h\\a",
    "file:///etc/passwd", "http://127.0.0.1/a.csv", "logs//brook_open_1.csv", "logs/./../..", ".",
    "",
    "logs/a\x00b.csv", "CON", "logs/NUL", "x" * 5000, "logs", "/dev/zero", "/dev/stdin", "logs/ ",
)  # fmt: skip


def _pick(chance: Chance, items: tuple[str, ...]) -> str:
    return items[int(chance.integers(0, len(items)))]


def _values(chance: Chance, text: str, values: tuple[str, ...], keys: str, most: int = 4) -> str:
    """Give up to `most` keys that match another value, as TOML."""
    places = list(re.finditer(rf"(?m)\b(?:{keys}) = ([^\n,}}]+|\[[^\n\]]*\])", text))
    for match in sorted(
        chance.choice(np.array(places, object), min(most, len(places)), replace=False),
        key=lambda found: -int(found.start(1)),
    ):
        text = text[: match.start(1)] + _pick(chance, values) + text[match.end(1) :]
    return text


def _quoted(text: str) -> str:
    escaped = "".join(
        f"\\u{ord(sign):04X}" if ord(sign) < 32 or sign in '"\\\x7f' else sign for sign in text
    )
    return f'"{escaped}"'


_TEXT_KEYS = "name|short|label|title|season|note|counts"


def texts(session: Path, chance: Chance, words: tuple[str, ...] = TEXTS) -> None:
    """Put hostile texts under names, titles and labels, into headings and narration."""
    told = tuple(map(_quoted, words))
    toml, outline = session / "session.toml", session / "outline.md"
    toml.write_text(_values(chance, toml.read_text("utf-8"), told, _TEXT_KEYS), "utf-8")
    written = outline.read_text("utf-8").replace("## Tap open", f"## {_pick(chance, words)}")
    outline.write_text(written.replace("apart.", f"apart. {_pick(chance, words)}"), "utf-8")


def acting_texts(session: Path, chance: Chance) -> None:
    """The same with escape sequences, controls and overrides of direction."""
    texts(session, chance, ACTING)


def absurd(session: Path, chance: Chance) -> None:
    """Give canvas, rate, lengths, handles and whatever else absurd values."""
    file = session / ("session.toml" if chance.random() < 0.6 else "outline.md")
    file.write_text(_values(chance, file.read_text("utf-8"), ABSURD, r"\w+", 2), "utf-8")


def absurd_style(session: Path, chance: Chance) -> None:
    """Give tokens of the style absurd values."""
    file = session / "styles" / "mine" / "style.toml"
    values = (*ABSURD, "1000", "0.0001", '"#00000000"', '"#FFF"', "[[1, 1000]]", "10")
    file.write_text(_values(chance, file.read_text("utf-8"), values, r"\w+", 3), "utf-8")


def paths(session: Path, chance: Chance) -> None:
    """Name files outside: as logs, as ledger, as rules, as pattern, as font."""
    path, kind = _pick(chance, PATHS), int(chance.integers(0, 4))
    (session.parent / "outside.csv").write_text("t,flow\n0,1\n1,2\n", "utf-8")
    toml = session / "session.toml"
    text = toml.read_text("utf-8")
    if kind == 0:
        row = f"entry,test,repeat,file\nbrook,open,1,{path}\nweir,open,1,logs/weir_open_1.csv\n"
        (session / "runs.csv").write_text(row, "utf-8")
    elif kind == 1:
        key = "ledger" if chance.random() < 0.5 else "rules"
        toml.write_text(text.replace("[episode]", f"[episode]\n{key} = {_quoted(path)}"), "utf-8")
    elif kind == 2:
        pattern = _quoted(path + "/{entry}_{repeat}.csv")
        toml.write_text(
            re.sub(r"files = .*", f"files = {pattern}".replace("\\", r"\\"), text), "utf-8"
        )
    else:
        style = session / "styles" / "mine" / "style.toml"
        style.write_text(
            _values(chance, style.read_text("utf-8"), (_quoted(path),), "text|strong|loud"), "utf-8"
        )


def _target(session: Path, chance: Chance) -> Path:
    names = (
        *FILES,
        "logs/brook_open_1.csv",
        "logs",
        "styles",
        "styles/mine",
        "runs.csv",
        "footage",
    )
    return session / _pick(chance, names)


def _cleared(path: Path) -> Path:
    if path.is_dir() and not path.is_symlink():
        shutil.rmtree(path)
    path.unlink(missing_ok=True)
    return path


def links(session: Path, chance: Chance) -> None:
    """Put a link in the place of a file or folder: out of the session, to nothing, in a circle."""
    target = _target(session, chance)
    far = session.parent / "far"
    if not far.exists():
        shutil.copytree(session, far)
    leads = (str(far / target.relative_to(session)), "/etc/passwd", "/dev/zero", "/", "nowhere",
             target.name, "..", "/proc/self/environ")  # fmt: skip
    _cleared(target).symlink_to(_pick(chance, leads))


def no_files(session: Path, chance: Chance) -> None:
    """Put a pipe, a folder, or nothing in the place of a file."""
    target = _cleared(_target(session, chance))
    kind = int(chance.integers(0, 3))
    if kind == 0:
        os.mkfifo(target)
    elif kind == 1:
        target.mkdir()


def deep_or_huge(session: Path, chance: Chance) -> None:
    """Nest brackets and keys thousands deep, or write tens of thousands of them."""
    bombs = (
        "x = " + "[" * 20_000 + "]" * 20_000, "x = " + "{a=" * 9000 + "1" + "}" * 9000,
        "a." * 20_000 + "b = 1", "[" + "a." * 20_000 + "b]", "x = " + "9" * 9000,
        "\n".join(f"k{n} = 1" for n in range(40_000)), "[[w]]\n" * 20_000, "x = '''" + "[" * 50_000,
        'x = "' + "\\u0041" * 20_000 + '"', "#" * 150_000, "\n" * 150_000, "x = 1\n" * 9,
    )  # fmt: skip
    file, bomb = _target(session, chance), _pick(chance, bombs)
    if file.name == "outline.md":
        bomb = f"\n## Zed\n\nWords.\n\n```cue lower_third\n{bomb[:190_000]}\n```\n"
    if file.is_file():
        file.write_text(f"{file.read_text('utf-8')}\n{bomb}\n", "utf-8")


def floods(session: Path, chance: Chance) -> None:
    """Write a script that keeps whoever matches, counts or understands it busy."""
    units = (
        "<!-- a --> ", ".", "*a_", "[", "<a ", "12 bar ", "twenty-", "3 % more ", "twice as ",
        "`a``",
        "{", "{alder minus ", "> ", "- ", "## a\n\n", "\\{", "a" * 99 + " ", "1.234 ", "&amp;",
        "|a",
        "```\n", "~~~\n\n", "word\n\n", "Brook and Weir and ", "“”", "…", "12:30 ", "€1 ", "\u0301",
    )  # fmt: skip
    unit = _pick(chance, units)
    outline = session / "outline.md"
    most = int(chance.choice([3000, 15_000, 60_000, 150_000]))
    flood = unit * (most // len(unit))
    outline.write_text(f"{outline.read_text('utf-8')}\n\n{flood}x\n", "utf-8")


def captions(session: Path, chance: Chance) -> None:
    """Captions of markup, impossible times, or endless ones."""
    words = _pick(chance, (*TEXTS, *ACTING)).replace("\n", " ")
    bodies = (
        f"00:00:00.100 --> 00:00:00.900\n{words}\n", f"00:00:00.000 --> 99:99:99.999\n{words}\n",
        f"99999999:00:00.000 --> 99999999:00:01.000\n{words}\n", "-->\n" * 3000,
        "\n\n".join(f"00:00:00.{n % 1000:03} --> 00:00:01.000\nBrook {n}." for n in range(4000)),
        "00:00:00.100 --> 00:00:00.900\n" + "Brook lets 14.4 litres through. " * 2000,
        "STYLE\n::cue { background: url(http://127.0.0.1/) }\n\n00:00:00.1 --> 00:00:01.0\na\n",
        "00:00:00.100 --> 00:00:00.900\n" + "<i>" * 5000, "NOTE " + "a" * 9000, "\x00" * 500,
    )  # fmt: skip
    _cleared(session / "captions.vtt").write_text(f"WEBVTT\n\n{_pick(chance, bodies)}", "utf-8")


def fonts(session: Path, chance: Chance) -> None:
    """A font that is none, is cut, damaged or huge."""
    from font_hanken_grotesk import font_directory

    whole = next(
        file for file in sorted(Path(font_directory).iterdir()) if file.suffix in {".otf", ".ttf"}
    ).read_bytes()
    damaged = bytearray(whole)
    for place in chance.integers(0, len(whole), 40):
        damaged[int(place)] = int(chance.integers(0, 256))
    contents = (
        b"",
        b"no font",
        whole[:200],
        whole[: len(whole) // 2],
        bytes(damaged),
        whole[:12] + b"\xff" * 9000,
    )
    file = session / "styles" / "mine" / "bad.ttf"
    file.write_bytes(contents[int(chance.integers(0, len(contents)))])
    if chance.random() < 0.2:
        os.truncate(file, 300_000_000)  # holds no data: a hole
    style = session / "styles" / "mine" / "style.toml"
    style.write_text(
        _values(chance, style.read_text("utf-8"), ('"bad.ttf"',), "text|strong|loud"), "utf-8"
    )


def circles(session: Path, chance: Chance) -> None:
    """Figures that are made of each other, or of themselves; references to those."""
    length = int(chance.integers(1, 60))
    tables = "".join(
        f'\n[figures.c{n}]\nlabel = "c"\ntake = "ratio"\nof = "c{(n + 1) % length}"\n'
        'by = "settled"\nunit = ""\nplaces = 1\n'
        for n in range(length)
    )
    toml, outline = session / "session.toml", session / "outline.md"
    toml.write_text(toml.read_text("utf-8") + tables, "utf-8")
    outline.write_text(outline.read_text("utf-8") + "\n{brook c0} it is.\n", "utf-8")


def logs(session: Path, chance: Chance) -> None:
    """A log that is a bomb, a picture, nothing, or full of what means something elsewhere."""
    names = sorted((session / "logs").glob("*.csv")) if (session / "logs").is_dir() else []
    for file in names[: int(chance.integers(1, 4))]:
        if file.is_file() and not file.is_symlink():
            file.write_bytes(LOGS[_pick(chance, tuple(LOGS))]())
    if chance.random() < 0.3:
        encoding = _pick(
            chance, ("idna", "punycode", "utf-7", "utf-16", "undefined", "a" * 900, "zip")
        )
        toml = session / "session.toml"
        toml.write_text(
            f"{toml.read_text('utf-8')}\n[reading]\nencoding = {_quoted(encoding)}\n", "utf-8"
        )


def footage(session: Path, chance: Chance) -> None:
    """Footage that is a playlist, a description of a stream, or no film."""
    folder = session / "footage"
    if folder.is_symlink() or folder.exists():
        return
    folder.mkdir()
    contents = (
        "ffconcat version 1.0\nfile 'a.mp4'\nfile '/etc/passwd'\n",
        "#EXTM3U\n#EXTINF:1,\nhttp://127.0.0.1:9/a.ts\n#EXTINF:1,\nfile:///etc/passwd\n",
        "v=0\no=- 0 0 IN IP4 127.0.0.1\ns=x\nc=IN IP4 127.0.0.1\nt=0 0\nm=video 5004 RTP/AVP 96\n",
        '<?xml version="1.0"?><MPD profiles="urn:mpeg:dash:profile:isoff-main:2011"/>', "no film",
        "",
    )  # fmt: skip
    name = _pick(chance, ("a.mp4", "a.mov", "concat:a.mkv", "-i.avi", "a.webm", "%d.mov"))
    (folder / name).write_text(_pick(chance, contents), "utf-8")


def patterns(session: Path, chance: Chance) -> None:
    """File-name patterns and names that could keep an expression busy."""
    several = (
        "logs/{entry}{repeat}x", "logs/{entry}{entry}{repeat}", "{entry}/{entry}{repeat}",
        "logs/((({entry}+)+)+)+{repeat}", "logs/*{entry}*{repeat}", "logs/[{entry}]{repeat}",
        "logs/{entry}_{test}_{repeat}.csv{", "logs/{entry:>999999}{repeat}",
        "logs/{0}{entry}{repeat}",
    )  # fmt: skip
    toml = session / "session.toml"
    text = re.sub(
        r"files = .*", f"files = {_quoted(_pick(chance, several))}", toml.read_text("utf-8")
    )
    toml.write_text(text, "utf-8")
    if (session / "logs").is_dir():
        for number in range(200):
            (session / "logs" / ("0" * 240 + f"{number}")).touch()


def reserved(session: Path, chance: Chance) -> None:
    """Ids, keys and beats named like devices, or with what file systems keep for themselves."""
    names = ("con", "nul", "aux", "com1", "lpt9", "prn", "clock", "a.", "a ", ".a", "a:b", "a/b",
             "..", "aux.mov", "é", "-", "_", "x" * 300, "con-in", "COM\u00b9")  # fmt: skip
    outline, toml = session / "outline.md", session / "session.toml"
    values = tuple(map(_quoted, names))
    text = _values(chance, outline.read_text("utf-8"), values, "id")
    outline.write_text(text.replace("## Weir", f"## {_pick(chance, names)}"), "utf-8")
    if chance.random() < 0.5:
        key = _pick(chance, ("con", "nul", "aux", "com1"))
        for file in (toml, outline):
            file.write_text(re.sub(r"\bweir\b", key, file.read_text("utf-8")), "utf-8")
        for file in list((session / "logs").glob("weir_*")) if (session / "logs").is_dir() else []:
            file.rename(file.with_name(file.name.replace("weir", key)))


def season(session: Path, chance: Chance) -> None:
    """A ledger or rules of the season that are damaged, endless or full of formulas."""
    ledger = session.parent / "ledger.csv"
    contents = (
        "", "a,b\n1,2\n", "=1+1\n" * 99, '"' * 999, "\x00" * 99,
        "episode,entry\n" + "1,=cmd()\n" * 999,
        "\x1b[2J\n", ",".join("a" * 9999) + "\n", "[" * 9999, "points = 1\n",
    )  # fmt: skip
    ledger.write_text(_pick(chance, contents), "utf-8")
    (session.parent / "rules.toml").write_text(_pick(chance, contents), "utf-8")
    key = '[episode]\nledger = "../ledger.csv"' + (
        '\nrules = "../rules.toml"' if chance.random() < 0.4 else ""
    )
    toml = session / "session.toml"
    toml.write_text(toml.read_text("utf-8").replace("[episode]", key), "utf-8")


def run_list(session: Path, chance: Chance) -> None:
    """A list of runs whose notes are formulas, escapes or endless, or which is no list."""
    words = (*TEXTS, *ACTING, "x" * 100_000)
    lines = ["entry,test,repeat,file,note,use"]
    for entry, test, repeat in (
        (e, t, r) for e in ("brook", "weir") for t in ("open", "shut") for r in (1, 2)
    ):
        note = _pick(chance, words).replace('"', '""')
        lines.append(f'{entry},{test},{repeat},logs/{entry}_{test}_{repeat}.csv,"{note}",yes')
    if chance.random() < 0.2:
        lines += lines[1:2] * 6000
    if chance.random() < 0.1:
        lines = ['"' * int(chance.integers(1, 5000))]
    _cleared(session / "runs.csv").write_text("\n".join(lines), "utf-8")


def mutations(session: Path, chance: Chance) -> None:
    """Damage any file as the mutations do."""
    file = _target(session, chance)
    if file.is_file() and not file.is_symlink():
        file.write_bytes(
            mutated(file.read_text("utf-8", "replace"), int(chance.integers(0, 1 << 30)))
        )


def waiting_output(session: Path, chance: Chance) -> None:
    """A turnover that came along, its folders and hidden files links to elsewhere."""
    out, elsewhere = session.parent / "out", session.parent / "elsewhere"
    elsewhere.mkdir(exist_ok=True)
    (elsewhere / "precious.mov").write_bytes(b"precious")
    out.mkdir(exist_ok=True)
    names = ("clips", "manifest.json", ".tracereel.holder", ".tracereel.lock", "review.html",
             ".tracereel-strips.json", "clips/open", "timeline.edl")  # fmt: skip
    for name in chance.choice(np.array(names), int(chance.integers(1, 4)), replace=False):
        place = out / str(name)
        if not place.parent.is_symlink() and not os.path.lexists(place):
            place.parent.mkdir(exist_ok=True)
            folder = name in ("clips", "clips/open")
            place.symlink_to(elsewhere if folder else elsewhere / "precious.mov")


ATTACKS: tuple[Attack, ...] = (
    texts, acting_texts, absurd, absurd_style, paths, links, no_files, deep_or_huge, floods,
    captions,
    fonts, circles, logs, footage, patterns, reserved, season, run_list, mutations, waiting_output,
    partial(texts, words=HOSTILE),
)  # fmt: skip


def hostile(session: Path, seed: int) -> str:
    """Turn a good session into a hostile one: one to three attacks, each kind in turn.

    Returns
    -------
    str
        The first attack's name.
    """
    chance = np.random.default_rng(seed)
    first = ATTACKS[seed % len(ATTACKS)]
    # Two in three have one fault only: such a session gets furthest.
    count = max(0, int(chance.integers(-3, 3)))
    more = chance.choice(np.array(ATTACKS, object), count)
    for attack in (first, *more):
        # What an earlier one has put there may be no file of text any more: that is enough then.
        try:
            attack(session, chance)
        except (OSError, UnicodeError, ValueError):
            continue
    return getattr(first, "__name__", "hostile texts")
