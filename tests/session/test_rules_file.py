"""A season's rules in a file of their own."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.session.folder import TOML, found_in, read, write

RULES = """\
# the season's rules

[standings]
ranks = "1, 1, 2"

[points.held]
figure = "held"
most = 60
"""
SHARED = TOML[: TOML.index("[points.held]")].replace(
    'rate = "25"', 'rate = "25"\nrules = "../rules.toml"'
)


def season(tmp_path: Path, *, rules: str = RULES, toml: str = SHARED) -> Path:
    """Write a season with one session and return the session's folder."""
    (tmp_path / "rules.toml").write_text(rules, encoding="utf-8")
    return write(tmp_path / "one", toml=toml)


def test_rules_are_taken_as_if_they_stood_in_the_session(tmp_path: Path) -> None:
    """Columns and ranking come from the shared file, and know where they stand."""
    session = read(season(tmp_path))
    assert session.spec.points["held"].most == 60
    assert session.spec.standings.ranks == "1, 1, 2"
    assert session.file("points") == "../rules.toml"
    assert session.file("figures") == "session.toml"
    assert session.line("points", "held", "most") == 8


@pytest.mark.parametrize(
    ("rules", "code", "line"),
    [
        (RULES.replace("most = 60", "most = 0"), "bad-value", 8),
        (RULES.replace('figure = "held"', 'figure = "hold"'), "unknown-figure", 7),
        (RULES.replace('"1, 1, 2"', '"1, 2"'), "bad-choice", 4),
        (RULES + '\n[entries.oak]\nname = "Oak"\n', "unknown-table", 10),
        (RULES.replace("[points.held]", "[points.held"), "not-toml", 6),
    ],
)
def test_faults_in_the_rules_name_their_file(
    tmp_path: Path, rules: str, code: str, line: int
) -> None:
    """A slip in the shared file is told with that file and its line."""
    found = found_in(season(tmp_path, rules=rules))
    assert [(problem.code, problem.file, problem.line) for problem in found] == [
        (code, "../rules.toml", line)
    ]


def test_a_table_stands_in_one_place_only(tmp_path: Path) -> None:
    """Nobody has to guess which of two tables counts."""
    toml = SHARED + '[points.other]\nfigure = "held"\nmost = 1\n'
    (problem,) = found_in(season(tmp_path, toml=toml))
    assert (problem.code, problem.file, problem.line) == ("table-twice", "../rules.toml", 6)


@pytest.mark.parametrize(
    ("written", "code"),
    [
        ("../other.toml", "missing-rules"),
        ("../../rules.toml", "path-leaves-session"),
        ("../rules.csv", "bad-rules-name"),
        ("/rules.toml", "bad-path"),
    ],
)
def test_rules_that_cannot_be_had_are_told(tmp_path: Path, written: str, code: str) -> None:
    """The error stands at the line of session.toml that names the file."""
    toml = SHARED.replace("../rules.toml", written)
    (problem,) = found_in(season(tmp_path, toml=toml))
    assert (problem.code, problem.file) == (code, "session.toml")
    assert problem.line == toml.splitlines().index(f'rules = "{written}"') + 1
