"""A small session on disk whose runs show everything a look has to show."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from overlays.errors import Problems
from overlays.model.result import Results
from overlays.scoring.results import work_out
from overlays.session.reader import read_session
from overlays.turnover.look.seen import SeenPlace, see_runs
from overlays.turnover.look.story import Story, tell
from overlays.turnover.look.view import TestView, view_of

__all__ = ["PULL", "results_in", "story_of", "view_and_places", "write_session"]

PULL = "pull"
TOML = """\
[episode]
title = "Three ropes & <b>one</b> hook"
season = "Ropes"
number = 4
date = 2026-06-01
rate = "25"
decimal_mark = ","

[entries.hemp]
name = "Hemp"
attributes = { price = "4.00 EUR" }
[entries.sisal]
name = "Sisal"
attributes = { price = "3.00 EUR" }
[entries.jute]
name = "Jute"
attributes = { price = "2.00 EUR" }

[channels.force]
label = "pull"
column = "F"
unit = "N"
[channels.way]
label = "way"
column = "x"
unit = "mm"

[tests.pull]
label = "Slow pull"
length = "3 s"
repeats = 3
channels = ["force", "way"]
main = "per_price"
trigger = { channel = "force", level = "5 N", rearm = "2 N" }
zero = { start = "-0.4 s", end = "-0.1 s", channels = ["force"] }
filters = { way = { kind = "moving_median", window = "0.1 s" } }
counts = "mean pull from 1 s to 2 s"

[tests.rest]
label = "Rest"
length = "1 s"
repeats = 1
channels = ["force"]
main = "resting"

[figures.furthest]
label = "furthest"
take = "peak"
test = "pull"
channel = "way"

[figures.held]
label = "held"
take = "mean"
test = "pull"
channel = "force"
start = "1 s"
end = "2 s"

[figures.per_price]
label = "held per price"
take = "ratio"
of = "held"
by = "price"
unit = "N/EUR"

[figures.to_twenty]
label = "to 20 N"
take = "time_to"
test = "pull"
channel = "force"
level = "20 N"
places = 2

[figures.late]
label = "after 2.5 s"
take = "at"
test = "pull"
channel = "force"
at = "2.5 s"

[figures.resting]
label = "resting"
take = "mean"
test = "rest"
channel = "force"
"""

RUNS = """\
entry,test,repeat,file,note,use
hemp,pull,1,logs/hemp_1.csv,,yes
hemp,pull,2,logs/hemp_2.csv,Creaks a little,yes
hemp,pull,3,logs/hemp_3.csv,,yes
sisal,pull,1,logs/sisal_1.csv,,yes
sisal,pull,2,logs/sisal_2.csv,,yes
sisal,pull,3,logs/sisal_3.csv,The knot slipped,no
jute,pull,1,logs/jute_1.csv,,yes
jute,pull,2,logs/jute_2.csv,Nothing on it,no
"""


def write_session(folder: Path) -> Path:
    """Write the session: hemp as planned; sisal with a gap and a left-out run; jute unreadable."""
    (folder / "logs").mkdir(parents=True)
    (folder / "session.toml").write_text(TOML, encoding="utf-8")
    (folder / "runs.csv").write_text(RUNS, encoding="utf-8")
    for entry, most in (("hemp", 60.0), ("sisal", 45.0)):
        for repeat in (1, 2, 3):
            force = _pull(most + 0.5 * repeat)
            if (entry, repeat) == ("sisal", 2):
                force[185:200] = np.nan  # 3.7 s to 4.0 s of the log: 2.5 s after the trigger
            if (entry, repeat) == ("sisal", 3):
                force[120:] = 8.0
            text = "".join(
                f"{row / 50:.2f},{'' if np.isnan(one) else f'{one:.4f}'},{row / 10:.3f}\n"
                for row, one in enumerate(force)
            )
            extra = "another logger\n\n" if (entry, repeat) == ("hemp", 3) else ""
            path = folder / "logs" / f"{entry}_{repeat}.csv"
            path.write_text(f"{extra}t (s),F (N),x (mm)\n{text}", encoding="utf-8")
    (folder / "logs" / "jute_1.csv").write_bytes(b"\x89PNG and no log")
    (folder / "logs" / "jute_2.csv").write_bytes(b"")
    return folder


def _pull(most: float) -> NDArray[np.float64]:
    """Return a force at 50/s over 5 s that rises from 0 at 1 s, deterministic and not noiseless."""
    t_s = np.arange(250) / 50
    rising = most * (1 - np.exp(-np.clip(t_s - 1.0, 0, None) / 0.3))
    return np.asarray(rising + 0.05 * np.sin(97 * t_s), np.float64)


def results_in(folder: Path) -> Results:
    """Return the results of the session in a folder, whatever is wrong with its logs."""
    problems = Problems()
    session = read_session(folder, problems)
    assert session is not None
    assert not problems.errors, problems.errors
    return work_out(session, problems)


def story_of(results: Results) -> Story:
    """Return what is told of the session."""
    return tell(results)


def view_and_places(results: Results) -> tuple[TestView, dict[str, SeenPlace]]:
    """Return the axes of the slow pull and its places by entry."""
    places = [place for place in see_runs(results) if place.test == PULL]
    view = view_of(results.session.spec, PULL, places)
    return view, {place.entry: place for place in places}
