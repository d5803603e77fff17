"""What tables say of each other: instruments, acceptance, standings, circles."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.session.folder import TOML, found_in, read, write

GAUGE = 'unit = "N"\ninstrument = { of_reading = "0.5 %", of_range = "0.1 %", range = "2 kN" }'

FAULTS = [
    ('unit = "N"', GAUGE.replace('"0.5 %"', '"0.5 N"'), "unit-clash"),
    ('unit = "N"', GAUGE.replace('"2 kN"', '"2 mm"'), "unit-clash"),
    ('unit = "N"', GAUGE.replace(', range = "2 kN"', ""), "missing-key"),
    ('main = "held"', 'main = "held"\naccept = { runs = 6, variation = "4 N" }', "unit-clash"),
    ('main = "held"', 'main = "held"\naccept = { runs = 0 }', "bad-value"),
    ('main = "held"', 'main = "held"\njitter = "5 s"', "unit-clash"),
    ('take = "mean"', 'take = "percentile"\nshare = "140 %"', "bad-share"),
    ('main = "held"', 'main = "held"\nheard = "noise"', "unknown-channel"),
    ("[points.held]", '[standings]\ntie_breaks = ["hled"]\n\n[points.held]', "unknown-column"),
    ("[points.held]", '[standings]\nreferences = "frozen"\n\n[points.held]', "missing-key"),
    (
        'figure = "held"',
        'figure = "held"\nrule = "share_of_claim"\nclaim = "clamed"',
        "unknown-attribute",
    ),
]


@pytest.mark.parametrize(("old", "new", "code"), FAULTS)
def test_each_fault_is_one_problem(tmp_path: Path, old: str, new: str, code: str) -> None:
    """A single slip gives a single error with a line."""
    assert old in TOML
    (problem,) = found_in(write(tmp_path, toml=TOML.replace(old, new, 1)))
    assert problem.code == code
    assert problem.line is not None


def test_what_is_right_passes(tmp_path: Path) -> None:
    """Instrument, acceptance and standings as they are meant."""
    toml = TOML.replace('unit = "N"', GAUGE)
    toml = toml.replace('main = "held"', 'main = "held"\naccept = { runs = 6, variation = "4 %" }')
    toml += '\n[standings]\ntie_breaks = ["held", "firsts"]\n'
    read(write(tmp_path, toml=toml))


def test_a_circle_through_several_figures_is_told_once(tmp_path: Path) -> None:
    """The way round is shown, from its first figure."""
    names = ["one", "two", "three"]
    ratio = '[figures.{0}]\nlabel = "{0}"\ntake = "ratio"\nof = "{1}"\nby = "price"\n'
    circle = "".join(ratio.format(name, names[at - 2]) for at, name in enumerate(names))
    (problem,) = found_in(write(tmp_path, toml=TOML + circle))
    assert problem.code == "circular-figure"
    assert "one → two → three → one" in problem.message


def test_a_figure_may_be_made_of_figures_that_are(tmp_path: Path) -> None:
    """Two ratios of one figure, and one of those, are no circle."""
    more = (
        '[figures.a]\nlabel = "a"\ntake = "ratio"\nof = "held"\nby = "claimed"\n'
        '[figures.b]\nlabel = "b"\ntake = "difference"\nof = "a"\nby = "a"\n'
    )
    read(write(tmp_path, toml=TOML + more))
