"""Where figures are taken."""

from __future__ import annotations

from overlays.model.session import SessionSpec
from overlays.turnover.look.marks import Mark, channels_looked_at, marks_of
from tests.scoring.building import session

WAY = """\
[channels.way]
label = "way"
column = "x"
unit = "mm"
"""
TEST = """\
[tests.long]
label = "Long"
length = "9 s"
channels = ["force", "way"]
main = "chief"
zero = { start = "-1 s", end = "0 s", channels = ["force"], after_start = "8 s", after_end = "9 s" }
"""


def _spec(*figures: str) -> SessionSpec:
    tables = "".join(
        f'[figures.f{n}]\nlabel = "f{n}"\ntest = "long"\n{figure}\n'
        for n, figure in enumerate(figures)
    )
    chief = '[figures.chief]\nlabel = "chief"\ntake = "ratio"\nof = "f0"\nby = "price"\n'
    return session(WAY + TEST + tables + chief).spec


def _own(*figures: str, channel: str = "force") -> tuple[Mark, ...]:
    return tuple(mark for mark in marks_of(_spec(*figures), "long", channel) if not mark.zero)


FORCE = 'channel = "force"\n'


def test_zero_windows_come_first_and_only_on_their_channels() -> None:
    """The window before and the one after, on the channel that is zeroed."""
    spec = _spec(FORCE + 'take = "peak"')
    zeros = [mark for mark in marks_of(spec, "long", "force") if mark.zero]
    assert [(mark.label, mark.windows) for mark in zeros] == [
        ("zero", ((-1.0, 0.0),)),
        ("zero after", ((8.0, 9.0),)),
    ]
    assert not any(mark.zero for mark in marks_of(spec, "long", "way"))


def test_a_window_is_marked_from_start_to_end_in_seconds() -> None:
    """Units are converted; a missing end is the test's, and a missing start the trigger."""
    both, start, end, none = _own(
        FORCE + 'take = "mean"\nstart = "500 ms"\nend = "2 s"',
        FORCE + 'take = "mean"\nstart = "3 s"',
        FORCE + 'take = "peak"\nend = "0.1 min"',
        FORCE + 'take = "peak"',
    )
    assert [mark.windows for mark in (both, start, end, none)] == [
        ((0.5, 2.0),), ((3.0, 9.0),), ((0.0, 6.0),), ((0.0, 9.0),),
    ]  # fmt: skip
    assert [mark.declared for mark in (both, start, end, none)] == [True, True, True, False]


def test_two_windows_a_moment_and_the_last_part() -> None:
    """A fade has two windows, a value at a time a moment, a settled value the end it needs."""
    fade, at, settled = _own(
        FORCE + 'take = "fade"\nstart = "1 s"\nend = "2 s"\nthen_start = "7 s"\nthen_end = "8 s"',
        FORCE + 'take = "at"\nat = "4 s"',
        FORCE + 'take = "settled"\nend = "8 s"\nover = "2 s"\nband = "1 N"',
    )
    assert fade.windows == ((1.0, 2.0), (7.0, 8.0))
    assert (at.windows, at.at_s) == ((), 4.0)
    assert settled.windows == ((6.0, 8.0),)


def test_a_level_is_in_the_unit_shown_unless_it_is_a_share() -> None:
    """0.04 kN is 40 N; half of each run's own peak is no one level."""
    level, share = _own(
        FORCE + 'take = "time_to"\nlevel = "0.04 kN"', FORCE + 'take = "time_above"\nlevel = "50 %"'
    )
    assert level.level == 40.0
    assert share.level is None


def test_what_goes_into_the_main_figure_is_main() -> None:
    """The main figure is a ratio; the figure it is made of is what is looked at."""
    first, second = _own(FORCE + 'take = "peak"', FORCE + 'take = "mean"')
    assert (first.main, second.main) == (True, False)


def test_the_channels_looked_at_are_those_of_figures_the_main_one_first() -> None:
    """Work looks along a second channel too; channels without a figure are not looked at."""
    assert channels_looked_at(_spec('channel = "way"\ntake = "peak"'), "long") == ("way",)
    spec = _spec('channel = "way"\ntake = "peak"', FORCE + 'take = "peak"')
    assert channels_looked_at(spec, "long") == ("way", "force")
    spec = _spec(FORCE + 'take = "work"\nalong = "way"')
    assert channels_looked_at(spec, "long") == ("force", "way")
    (mark,) = _own(FORCE + 'take = "work"\nalong = "way"', channel="way")
    assert mark.windows == ((0.0, 9.0),)
    spec = spec.model_copy(update={"figures": {}})
    assert channels_looked_at(spec, "long") == ("force",)
