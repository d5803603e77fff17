"""A session of real records, from the command line to the published figures.

The records and the values published with them: see data/traces/README.md. The names are ours.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from overlays.cli import app
from tests.outside import rows

TRACES = Path(__file__).resolve().parent / "data" / "traces"
ITEMS = ("A", "B", "E", "F", "G2", "H")
SESSION = """\
[episode]
title = "Six certified items"
season = "Records"
number = 1
date = 2026-01-01
rate = "25"
start = "01:00:00:00"
canvas = [640, 360]
style = "rule"
handles = [4, 4]
decimal_mark = "."
cautions = ["Fire items only where, and with whom, local codes allow."]

[channels.force]
label = "force"
column = "force_N"
unit = "N"

[tests.firing]
label = "Firing"
length = "5 s"
repeats = 1
channels = ["force"]
main = "impulse"

[figures.impulse]
label = "total impulse"
take = "impulse"
test = "firing"
places = 1

[figures.peak]
label = "peak force"
take = "peak"
test = "firing"

[figures.lasts]
label = "burn time"
take = "time_above"
level = "5 %"
count = "first to last"
test = "firing"
unit = "s"
places = 2

[figures.average]
label = "average force"
take = "ratio"
of = "impulse"
by = "lasts"
unit = "N"
"""
OUTLINE = """\
# Six certified items

## Firing

Every item is fired once.

```cue curves
id = "all"
test = "firing"
length = "8 s"
```
"""
# Relative, from the deviations that traces.json states between published values and records.
# E and F are coarse, and H's published burn time contradicts its own record.
CLOSE = {
    "impulse": {"A": 1e-3, "B": 2e-3, "E": 0.032, "F": 0.011, "G2": 4e-3, "H": 1e-3},
    "peak": {"A": 1e-3, "B": 7e-3, "E": 1e-3, "F": 0.112, "G2": 4e-3, "H": 0.043},
    "lasts": {"A": 0.04, "B": 0.057, "E": 0.014, "F": 0.105, "G2": 6e-3},
    "average": {"A": 0.041, "B": 0.06, "E": 0.02, "F": 0.086, "G2": 6e-3, "H": 6e-3},
}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Write the session beside copies of the records."""
    made = tmp_path_factory.mktemp("certified")
    (made / "logs").mkdir()
    listed = ["entry,test,repeat,file"]
    entries = []
    for item in ITEMS:
        header, _, samples = (TRACES / f"item_{item}_thrust.csv").read_text("utf-8").partition("\n")
        # The records leave out their first point, which is the origin.
        (made / "logs" / f"{item}.csv").write_text(f"{header}\n0,0\n{samples}", "utf-8")
        listed.append(f"item_{item.lower()},firing,1,logs/{item}.csv")
        entries.append(f'[entries.item_{item.lower()}]\nname = "Item {item}"\n')
    (made / "session.toml").write_text(SESSION + "\n" + "\n".join(entries), "utf-8")
    (made / "runs.csv").write_text("\n".join(listed) + "\n", "utf-8")
    (made / "outline.md").write_text(OUTLINE, "utf-8")
    return made


@pytest.fixture(scope="module")
def say(folder: Path) -> Callable[..., str]:
    """Return a function that runs a command on the session and returns what it prints."""

    def spoken(command: str, *options: object) -> str:
        done = CliRunner().invoke(app, [command, str(folder), *map(str, options)])
        assert done.exit_code == 0, done.output
        return done.stdout

    return spoken


@pytest.fixture(scope="module")
def found(say: Callable[..., str]) -> dict[tuple[str, str], Any]:
    """Return the figures by figure and entry."""
    told = json.loads(say("figures", "--format", "json"))
    return {(item["figure"], item["entry"]): item for item in told["figures"]}


def test_check_finds_no_error_and_says_how_the_records_were_read(say: Callable[..., str]) -> None:
    """Six logs read alike; single runs are as planned."""
    text = say("check")
    assert "read: firing, all 6 logs: " in text
    assert "decimal point" in text
    assert text.splitlines()[-1] == "Ready to render: 1 clip."


@pytest.mark.parametrize(
    ("figure", "published"),
    [("impulse", "impulse_Ns"), ("peak", "peak_N"), ("lasts", "burn_s"), ("average", "avg_N")],
)
@pytest.mark.parametrize("item", ITEMS)
def test_published_values_come_out(
    found: dict[tuple[str, str], Any], item: str, figure: str, published: str
) -> None:
    """Total impulse, peak, burn time and average are those of the certificate."""
    (row,) = rows("traces", f"item_{item}_thrust")
    value = found[figure, f"item_{item.lower()}"]["value"]
    expected = row.expected["published"][published]
    if (figure, item) == ("lasts", "H"):
        assert value > 1.4 * expected, "this certificate contradicts its record"
        return
    assert value == pytest.approx(expected, rel=CLOSE[figure][item])


def test_single_runs_are_not_given_an_uncertainty(
    found: dict[tuple[str, str], Any], say: Callable[..., str]
) -> None:
    """One firing says nothing of the next, and the host's sentence says so."""
    assert all(item["uncertainty"]["type_a"] is None for item in found.values())
    text = say("figures", "--gap", "impulse", "item_a", "item_b")
    assert text.startswith("Item A is 43.2 N·s ahead of Item B in “total impulse”, on single runs")


def test_every_record_is_on_the_look(say: Callable[..., str], folder: Path) -> None:
    """Page and picture are made, and name each log."""
    page, picture = folder.parent / "certified.html", folder.parent / "certified.png"
    say("runs", "--out", page)
    say("runs", "--out", picture)
    text = page.read_text("utf-8")
    assert all(f"logs/{item}.csv" in text for item in ITEMS)
    assert picture.read_bytes().startswith(b"\x89PNG")


def test_the_run_sheet_has_nothing_left_and_keeps_the_caution(say: Callable[..., str]) -> None:
    """All six firings are there; the whole plan lists them again."""
    text = say("runsheet")
    assert "Nothing is left to be run: all 6 planned runs are there and used." in text
    assert "local codes allow" in text
    whole = say("runsheet", "--whole", "--format", "csv")
    assert len(whole.splitlines()) == 7
