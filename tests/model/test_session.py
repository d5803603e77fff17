"""What a session knows of its own declarations."""

from __future__ import annotations

import pytest

from overlays.model.run import Repeats
from overlays.timecode import Timebase
from tests.scoring.building import TOML, flat_run, session

MORE = """
[figures.both]
label = "both"
take = "ratio"
of = "held"
by = "pulled"

[figures.priced]
label = "priced"
take = "ratio"
of = "both"
by = "price"

[figures.cost]
label = "cost"
take = "attribute"
attribute = "price"
"""


@pytest.mark.parametrize(
    ("figure", "parts", "tests"),
    [
        ("held", (), {"hold"}),
        ("both", ("held", "pulled"), {"hold", "pull"}),
        ("priced", ("both",), {"hold", "pull"}),
        ("cost", (), set()),
        ("nothing", (), set()),
    ],
)
def test_what_a_figure_is_made_of(figure: str, parts: tuple[str, ...], tests: set[str]) -> None:
    """Direct parts, and the tests it is taken from in the end."""
    spec = session(MORE).spec
    assert spec.parts_of(figure) == parts
    assert spec.tests_of(figure) == tests


def test_a_circle_does_not_hang() -> None:
    """Before a circle has been told as an error, asking for its tests still ends."""
    circle = '[figures.a]\nlabel = "a"\ntake = "ratio"\nof = "a"\nby = "held"\n'
    assert session(circle).spec.tests_of("a") == {"hold"}


@pytest.mark.parametrize(
    ("more", "drop"),
    [
        ('rate = "25"', False),
        ('rate = "30000/1001"', True),
        ('rate = "60000/1001"', True),
        ('rate = "30000/1001"\ntimecode = "non-drop"', False),
        ('rate = "24000/1001"', False),
    ],
)
def test_drop_frame_is_the_default_where_it_exists(more: str, drop: bool) -> None:  # noqa: FBT001 (a parameter of the table)
    """At 29.97 and 59.94 labels drop unless the session says otherwise."""
    episode = session(toml=TOML.replace('rate = "25"', more)).spec.episode
    assert episode.timebase == Timebase(episode.rate, drop)


def test_labels_and_shown_units_fall_back() -> None:
    """A short name and a unit to show are optional."""
    spec = session(toml=TOML.replace('unit = "N"', 'unit = "N"\nshow = "kN"')).spec
    assert spec.entries["ash"].label == "Ash"
    assert spec.channels["force"].shown_unit == "kN"
    assert session().spec.channels["force"].shown_unit == "N"


def test_a_line_is_that_of_the_nearest_table() -> None:
    """A key left out has the line of its table, and an unknown table none."""
    one = session()
    assert one.line("tests", "hold", "zero", "start") == one.line("tests", "hold")
    assert one.line("nowhere", "at", "all") is None


def test_the_run_shown_is_the_median_one() -> None:
    """Repeats know which of their runs stands for them."""
    runs = tuple(flat_run("ash", "hold", repeat, float(repeat)) for repeat in (1, 2, 3))
    assert Repeats("ash", "hold", runs, (), 1).median_run is runs[1]
