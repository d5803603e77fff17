"""Reading a session: what is right is read, what is wrong is told once, with its line."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from overlays.errors import Problems
from overlays.session.reader import read_session
from overlays.timecode import Timebase
from overlays.units import Quantity
from tests.session.folder import RUNS, TOML, found_in, read, write

REPOSITORY = Path(__file__).parents[2]


def test_a_session_is_read(tmp_path: Path) -> None:
    """Everything declared arrives in the model, with defaults and lines."""
    session = read(write(tmp_path, runs=RUNS))
    assert session.spec.episode.date == date(2026, 2, 3)
    assert session.spec.episode.timebase == Timebase(Fraction(25))
    assert session.spec.entries["ash"].attributes["price"] == Quantity(12.0, "EUR", 2)
    assert session.spec.points["held"].rule == "share_of_best"
    assert session.line("tests", "hold", "main") == TOML.splitlines().index('main = "held"') + 1
    assert session.line("tests", "hold", "zero") == session.line("tests", "hold")
    assert [(ref.entry, ref.repeat, ref.use, ref.line) for ref in session.runs] == [
        ("ash", 1, True, 2),
        ("ash", 2, False, 3),
        ("birch", 1, True, 4),
    ]


@pytest.mark.parametrize("folder", ["demo_sessions/brake_bench", "tests/data/sessions/mini"])
def test_our_own_sessions_have_no_problem(folder: str) -> None:
    """The sessions that come with the project read cleanly."""
    assert found_in(REPOSITORY / folder) == []


# What is replaced, by what, and the code and line text of the one problem that follows.
FAULTS = [
    ('length = "4 s"', 'lenght = "4 s"', "unknown-key", "lenght"),
    ('length = "4 s"\n', "", "missing-key", "[tests.hold]"),
    ('length = "4 s"', "length = 4", "bad-quantity", "length"),
    ('length = "4 s"', 'length = "4 m"', "not-a-time", "length"),
    ('length = "4 s"', 'length = "four"', "bad-quantity", "length"),
    ('rate = "25"', 'rate = "29.97"', "bad-rate", "rate"),
    ('rate = "25"', "rate = 29.97", "bad-rate", "rate"),
    ('rate = "25"', "rate = true", "bad-rate", "rate"),
    ('rate = "25"', 'rate = "25"\ncanvas = [1920, 1080, 3]', "bad-length", "canvas"),
    ('rate = "25"', 'rate = "25"\ncanvas = "big"', "bad-value", "canvas"),
    ('rate = "25"', 'rate = "25"\nstyle = "../../etc"', "bad-key", "style"),
    ("date = 2026-02-03", 'date = "yesterday"', "bad-value", "date"),
    ("date = 2026-02-03", "date = 2026-02-03T10:00:00", "bad-value", "date"),
    ('title = "Two clamps"', "title = 3", "bad-value", "title"),
    ("repeats = 2", "repeats = 2.5", "bad-value", "repeats"),
    ('price = "12.00 EUR"', "price = 12.0", "bad-quantity", "price"),
    ("[points.held]", "[[points]]", "bad-value", "[[points]]"),
    ('rate = "25"', 'rate = "25"\ntimecode = "drop"', "no-drop-frame", "timecode"),
    ('rate = "25"', 'rate = "25"\ncanvas = [1920]', "too-few-values", "canvas"),
    ('rate = "25"', 'rate = "25"\ncanvas = [8, 1080]', "bad-canvas", "canvas"),
    ('rate = "25"', 'rate = "25"\nhandles = [-1, 0]', "bad-handles", "handles"),
    ('rate = "25"', 'rate = "25"\ndecimal_mark = "x"', "bad-choice", "decimal_mark"),
    ('rate = "25"', 'rate = "25"\nspeaking_rate = "2 kg"', "unit-clash", "speaking_rate"),
    ('rate = "25"', 'rate = "25"\nledger = "../../l.csv"', "path-leaves-session", "ledger"),
    ('rate = "25"', 'rate = "25"\nledger = "l.xlsx"', "bad-ledger-name", "ledger"),
    ("[entries.ash]", "[entries.Ash]", "bad-key", "[entries.Ash]"),
    ('price = "12.00 EUR"', 'price = "12.00 EURO"', "unknown-unit", "attributes"),
    ('unit = "N"', 'unit = "Nn"', "unknown-unit", 'unit = "Nn"'),
    ('unit = "N"', 'unit = "N"\nshow = "N*m"', "unit-clash", "show"),
    ('unit = "N"', 'unit = "N"\nshow = "lb"', "unit-clash", "show"),
    ('main = "held"', 'main = "heald"', "unknown-figure", "main"),
    ('main = "held"', 'main = "per_price"', None, ""),
    ('channels = ["force", "travel"]', "channels = []", "no-channel", "channels"),
    ('"travel"]', '"travle"]', "unknown-channel", "channels = "),
    ('level = "5 N"', 'level = "5 mm"', "unit-clash", "trigger"),
    ('trigger = { channel = "force"', 'trigger = { channel = "forse"', "unknown-channel", "trigg"),
    ('unit = "N"', 'unit = "N"\nmissing = ["-9999 mm"]', "unit-clash", "missing"),
    ('unit = "N"', 'unit = "N"\nlimits = ["0 N", "9 mm"]', "unit-clash", "limits"),
    (
        'main = "held"',
        'main = "held"\nspikes.forse = { window = "1 s" }',
        "unknown-channel",
        "spikes",
    ),
    ('main = "held"', 'main = "held"\nreading.rate = "9 N"', "unit-clash", "reading.rate"),
    (
        'main = "held"',
        'main = "held"\nfilters.force = { kind = "butterworth", cutoff = "9 N" }',
        "unit-clash",
        "filters",
    ),
    (
        'main = "held"',
        'main = "held"\nzero = { start = "0 s", end = "-1 s", channels = [] }',
        "empty-window",
        "zero",
    ),
    (
        'main = "held"',
        'main = "held"\nzero = { start = "0 s", end = "1 s", channels = [], drift = "remove" }',
        "missing-key",
        "zero",
    ),
    ('take = "mean"', 'take = "maen"', "unknown-take", "take"),
    ('take = "mean"\n', "", "missing-key", "[figures.held]"),
    ('take = "mean"', 'take = "peak"\nlevel = "3 N"', "unknown-key", "level = "),
    ('test = "hold"', 'test = "hodl"', "unknown-test", 'test = "hodl"'),
    ('channel = "force"\n', "", "missing-key", "[figures.held]"),
    ('by = "price"', 'by = "prize"', "unknown-figure-or-attribute", "by"),
    ('by = "price"', 'by = "per_price"', "circular-figure", "[figures.per_price]"),
    ('by = "price"', 'by = "price"\nunit = "N/EURO"', "unknown-unit", "N/EURO"),
    ("[figures.per_price]", "[figures.price]", "name-twice", "[figures.price]"),
    ('figure = "held"', 'figure = "hold"', "unknown-figure", "figure"),
    ('figure = "held"', 'figure = "held"\nrule = "stair"', "unknown-rule", "rule"),
    ("most = 60", "most = 0", "bad-value", "most"),
    ("most = 60", "most = nan", "bad-value", "most"),
    ("most = 60", 'most = "sixty"', "bad-value", "most"),
    ("[points.held]", "[points.held", "not-toml", "[points.held"),
    ('label = "held"', 'label = "held', "not-toml", 'label = "held'),
]


@pytest.mark.parametrize(("old", "new", "code", "where"), FAULTS)
def test_each_fault_is_one_problem_with_its_line(
    tmp_path: Path, old: str, new: str, code: str | None, where: str
) -> None:
    """A single slip gives a single error that names line, and says what to do."""
    assert old in TOML
    toml = TOML.replace(old, new, 1)
    found = found_in(write(tmp_path, toml=toml))
    if code is None:
        assert found == []
        return
    assert [problem.code for problem in found] == [code]
    (problem,) = found
    assert problem.level == "error"
    assert problem.file == "session.toml"
    assert problem.line is not None
    assert where in toml.splitlines()[problem.line - 1]
    assert problem.remedy


def test_faults_of_one_pass_are_all_told(tmp_path: Path) -> None:
    """Three slips in different tables give three errors at once."""
    toml = TOML.replace("[figures.held]\n", "[figures.held]\nplace = 2\n")
    toml = toml.replace('unit = "mm"', 'unit = "mmm"').replace("most = 60", "most = -1")
    found = found_in(write(tmp_path, toml=toml))
    assert sorted(problem.code for problem in found) == ["bad-value", "unknown-key"]
    toml = toml.replace("place = 2\n", "").replace("most = -1", "most = 1")
    assert [problem.code for problem in found_in(write(tmp_path, toml=toml))] == ["unknown-unit"]


def test_a_wrong_table_gives_no_session_but_runs_are_still_looked_at(tmp_path: Path) -> None:
    """Nothing is built on a wrong table; what is wrong with runs.csv is told in the same pass."""
    toml = TOML.replace('main = "held"', 'main = "hled"')
    problems = Problems()
    folder = write(tmp_path, toml=toml, runs=RUNS.replace("birch,hold", "brich,hold"))
    assert read_session(folder, problems) is None
    assert [problem.code for problem in problems.found] == ["unknown-figure", "unknown-entry"]


def test_a_missing_log_takes_only_its_run_away(tmp_path: Path) -> None:
    """The session is read, and works with the runs that are there."""
    folder = write(tmp_path)
    (folder / "logs" / "b1.csv").unlink()
    problems = Problems()
    session = read_session(folder, problems)
    assert session is not None
    assert [ref.entry for ref in session.runs] == ["ash", "ash"]
    assert [problem.code for problem in problems.found] == ["missing-log"]


def test_suggestions_name_what_was_meant(tmp_path: Path) -> None:
    """A misspelt key, name or choice is answered by the nearest one known."""
    toml = TOML.replace('main = "held"', 'main = "hled"')
    (problem,) = found_in(write(tmp_path, toml=toml))
    assert problem.remedy == "Did you mean 'held'?"


@pytest.mark.parametrize("path", ["../birch.png", "/etc/hosts", "/a.png", ""])
def test_a_picture_outside_the_session_is_told_with_its_line(tmp_path: Path, path: str) -> None:
    """Pictures and the logo lie inside the session's folder; whether they are there shows later."""
    toml = TOML.replace('name = "Birch"', f'name = "Birch"\npicture = "{path}"')
    (problem,) = found_in(write(tmp_path, toml=toml))
    assert problem.code in ("bad-path", "path-leaves-session")
    assert problem.line == toml[: toml.index("picture =")].count("\n") + 1
    assert problem.message.startswith("entries.birch.picture: ")
    toml = TOML.replace('rate = "25"', f'rate = "25"\nlogo = "{path}"')
    (problem,) = found_in(write(tmp_path, toml=toml))
    assert problem.message.startswith("episode.logo: ")
    read(write(tmp_path, toml=TOML.replace('rate = "25"', 'rate = "25"\nlogo = "not/yet.png"')))


def test_a_folder_without_a_session_is_told(tmp_path: Path) -> None:
    """No session.toml is one error and no session."""
    problems = Problems()
    assert read_session(tmp_path, problems) is None
    assert [problem.code for problem in problems.found] == ["no-session"]


@pytest.mark.parametrize("content", [b"\xff\xfe\x00", b"a = \xe9"])
def test_what_is_no_text_is_told(tmp_path: Path, content: bytes) -> None:
    """A session.toml that is not UTF-8 is one error."""
    (tmp_path / "session.toml").write_bytes(content)
    assert [problem.code for problem in found_in(tmp_path)] == ["not-utf-8"]


def test_brackets_without_end_are_told(tmp_path: Path) -> None:
    """A document made to exhaust the parser is one error, no crash; so is one of endless keys."""
    for text in ("a = " + "[" * 100_000, "a." * 400_000 + "b = 1", "k = 1\n" * 90_000):
        (tmp_path / "session.toml").write_text(text, encoding="utf-8")
        assert [problem.code for problem in found_in(tmp_path)] == ["not-toml"]


def test_a_byte_order_mark_is_no_key(tmp_path: Path) -> None:
    """A session saved with a byte-order mark reads the same."""
    plain = read(write(tmp_path, toml=TOML)).spec
    assert read(write(tmp_path, toml="\ufeff" + TOML)).spec == plain


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.data())
def test_any_damage_is_a_problem_and_never_a_crash(tmp_path: Path, data: st.DataObject) -> None:
    """Cut, doubled or overwritten anywhere, a session reads or tells what is wrong with it."""
    start = data.draw(st.integers(0, len(TOML) - 1))
    end = data.draw(st.integers(start, min(start + 40, len(TOML))))
    new = data.draw(st.text("[]{}\"'=.,#\n 0aé-", max_size=6))
    toml = TOML[:start] + new + TOML[end:]
    for problem in found_in(write(tmp_path, toml=toml)):
        assert problem.code
        assert problem.remedy
        assert problem.file
