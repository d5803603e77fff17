"""The two sessions on invented data: what they hold, and that they hold together."""

from __future__ import annotations

import csv
import runpy
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from overlays.checks.pace import judge_pace
from overlays.checks.reading_ahead import judge_reading_ahead
from overlays.errors import Problems
from overlays.model.figurespec import AtFigure
from overlays.model.outline import Outline
from overlays.model.result import Results
from overlays.model.trace import FloatArray
from overlays.outline.reader import read_outline
from overlays.plan import Episode, plan_episode
from overlays.scoring.ledger import read_ledger
from overlays.scoring.results import work_out
from overlays.session.reader import read_session
from overlays.units import Quantity

DEMO = Path(__file__).parents[1] / "demo_sessions" / "brake_bench"
MINI = Path(__file__).parent / "data" / "sessions" / "mini"


def worked_out(folder: Path) -> tuple[Results, Outline, Problems]:
    """Read a whole session, up to its timed outline."""
    problems = Problems()
    session = read_session(folder, problems)
    assert session is not None, problems.found
    results = work_out(session, problems)
    outline = read_outline(session, results, problems)
    assert outline is not None, problems.found
    return results, outline, problems


@pytest.fixture(scope="module")
def demo() -> tuple[Results, Outline, Problems]:
    """The brake bench, worked out once for all tests."""
    return worked_out(DEMO)


@pytest.fixture(scope="module")
def mini() -> tuple[Results, Outline, Problems]:
    """The second session, worked out once for all tests."""
    return worked_out(MINI)


def samples(name: str) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Read one demo log with NumPy alone: seconds from the rise, torque without offset, rotor."""
    rows = np.loadtxt(DEMO / "logs" / f"{name}.csv", delimiter=",", skiprows=6)
    time_s, torque, rotor = rows.T
    torque = torque - np.mean(torque[time_s < 0.7])
    return time_s - time_s[np.argmax(torque > 3)], torque, rotor


def mean_near(time_s: FloatArray, values: FloatArray, at_s: float) -> float:
    """Average over a tenth of a second around a moment."""
    return float(np.mean(values[np.abs(time_s - at_s) < 0.05]))


@pytest.mark.parametrize("session", [DEMO, MINI], ids=["brake_bench", "mini"])
def test_the_generator_writes_the_committed_logs_again(session: Path, tmp_path: Path) -> None:
    """Running the program beside the logs gives the same files, byte for byte."""
    runpy.run_path(str(session / "make_logs.py"))["main"](tmp_path)
    committed = {path.name: path.read_bytes() for path in (session / "logs").iterdir()}
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == committed


def test_the_drawer_draws_the_committed_pictures_again(tmp_path: Path) -> None:
    """Running the program beside the pictures gives the same ones; other builds may round a bit."""
    runpy.run_path(str(DEMO / "make_pictures.py"))["main"](tmp_path)
    committed = sorted((DEMO / "pictures").iterdir())
    assert [path.name for path in sorted(tmp_path.iterdir())] == [path.name for path in committed]
    for path in committed:
        assert path.stat().st_size < 8_000
        kept, drawn = (
            np.asarray(Image.open(file).convert("RGBA"), np.int16)
            for file in (path, tmp_path / path.name)
        )
        assert kept.shape == drawn.shape
        assert np.abs(kept - drawn).mean() < 0.5
        assert (kept[..., 3] == 0).mean() > 0.1  # cut out


def test_the_demo_has_thirty_six_logs_at_500_samples_a_second() -> None:
    """Four pads, three tests, three repeats; well below twelve megabytes in all."""
    logs = sorted((DEMO / "logs").iterdir())
    assert len(logs) == 36
    assert sum(log.stat().st_size for log in logs) < 8_000_000
    for log in logs:
        time_s, _, _ = samples(log.stem)
        assert np.allclose(np.diff(time_s), 0.002)


def test_every_log_of_the_demo_is_listed_once_and_remarks_say_why() -> None:
    """runs.csv names each log; the run that is left out and the one that is off carry a note."""
    with (DEMO / "runs.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert sorted(row["file"] for row in rows) == sorted(
        f"logs/{path.name}" for path in (DEMO / "logs").iterdir()
    )
    left_out = [row for row in rows if row["use"] == "no"]
    assert [row["file"] for row in left_out] == ["logs/dune_wet_3.csv"]
    assert all(row["note"] for row in left_out)
    assert any("Left in" in row["note"] for row in rows if row["use"] == "yes")


@pytest.mark.parametrize("pad", ["alder", "basalt", "cobble", "dune"])
def test_the_demo_stays_within_what_a_disc_brake_does(pad: str) -> None:
    """Tens of newton metres, zero before and after, a rotor that warms up, water that costs torque.

    The bands are those of a 160 to 180 mm rotor; common practice, no source.
    """
    cold_s, cold, _ = samples(f"{pad}_cold_1")
    wet_s, wet, _ = samples(f"{pad}_wet_1")
    drag_s, drag, rotor = samples(f"{pad}_drag_1")
    assert 40 < np.max(cold) < 90
    assert 15 < np.max(drag) < 45
    for time_s, torque in ((cold_s, cold), (wet_s, wet), (drag_s, drag)):
        assert np.all(np.abs(torque[time_s < -0.2]) < 1)
        assert np.all(np.abs(torque[-50:]) < 1)
    assert mean_near(wet_s, wet, 1.0) < mean_near(cold_s, cold, 1.0)
    assert 18 < rotor[0] < 28
    assert mean_near(drag_s, rotor, 15) > mean_near(drag_s, rotor, 5) + 30
    assert 120 < np.max(rotor) < 300


def test_one_repeat_of_the_demo_is_plainly_off() -> None:
    """The cold stop with the fingerprint lies a fifth or more below its two neighbours."""
    levels = []
    for repeat in (1, 2, 3):
        time_s, torque, _ = samples(f"cobble_cold_{repeat}")
        levels.append(mean_near(time_s, torque, 3.0))
    assert levels[1] < 0.8 * min(levels[0], levels[2])


def test_the_logs_of_the_second_session_are_few_and_small() -> None:
    """Eight files, semicolons and decimal commas, below 200 kB in all."""
    logs = sorted((MINI / "logs").iterdir())
    assert len(logs) == 8
    assert sum(log.stat().st_size for log in logs) < 200_000
    for log in logs:
        lines = log.read_text(encoding="utf-8").splitlines()
        assert lines[3] == "time [s];flow [l/min];pressure [bar]"
        assert lines[4].startswith("0,000;")


def test_the_demo_reads_with_the_one_thing_it_has_to_say(
    demo: tuple[Results, Outline, Problems],
) -> None:
    """No error; the only warning is that the left-out run leaves two of three."""
    _, _, problems = demo
    assert [(found.level, "dune has 2 of 3" in found.message) for found in problems.found] == [
        ("warning", True)
    ]


def test_the_second_session_reads_without_a_word(
    mini: tuple[Results, Outline, Problems],
) -> None:
    """Other units, file-name patterns, an even count of repeats: nothing to report."""
    results, outline, problems = mini
    assert problems.found == []
    assert {repeats.remark for repeats in results.repeats.values()} == {"lower middle of 2"}
    assert all(figure.value is not None for figure in results.figures.values())
    assert sorted(cue.kind for cue in outline.cues) == ["curves", "lower_third", "score_update"]
    assert (outline.timebase.rate, outline.timebase.drop) == (Fraction(25), False)
    assert results.session.spec.episode.canvas == (1080, 1920)


def test_the_episode_of_the_demo_is_some_minutes_long(
    demo: tuple[Results, Outline, Problems],
) -> None:
    """Ten beats or more, a card and a score for each pad, the table, and two pads side by side."""
    results, outline, _ = demo
    last = outline.beats[-1]
    frames = last.first_frame + last.frames - outline.beats[0].first_frame
    assert 170 <= frames / outline.timebase.rate <= 360
    assert len(outline.beats) >= 10
    assert len(outline.cues) >= 9
    assert {"standings", "head_to_head"} <= {cue.kind for cue in outline.cues}
    entries = set(results.session.spec.entries)
    for kind in ("lower_third", "score_update"):
        cues = [cue for cue in outline.cues if cue.kind == kind]
        assert {cue.options["entry"] for cue in cues} == entries
    curves = [cue for cue in outline.cues if cue.kind == "curves"]
    assert len(curves) >= 3
    assert any("gap" in cue.options for cue in curves)
    assert {beat.timed_by for beat in outline.beats} == {"written", "speaking rate"}


def test_no_two_cues_of_the_demo_are_on_screen_at_once(
    demo: tuple[Results, Outline, Problems],
) -> None:
    """Each cue ends before the next begins and within its beat."""
    _, outline, _ = demo
    for cue, following in pairwise(outline.cues):
        assert cue.first_frame + cue.frames <= following.first_frame
    for beat in outline.beats:
        for cue in beat.cues:
            assert cue.first_frame + cue.frames <= beat.first_frame + beat.frames


@pytest.mark.slow
def test_what_the_demo_shows_can_be_read_and_followed(
    demo: tuple[Results, Outline, Problems],
) -> None:
    """No cue of the demo stands for less time than its words take, and none has to hurry."""
    results, outline, _ = demo
    clips = plan_episode(Episode(results, outline), Problems(), codec="prores4444")
    assert len(clips) == len(outline.cues)
    assert judge_reading_ahead(clips) == ()
    assert judge_pace(clips) == ()


def test_the_ledger_of_the_demo_holds_eight_pads_and_one_of_tonight(
    demo: tuple[Results, Outline, Problems],
) -> None:
    """Eight pads of earlier episodes, one of which comes back; every points column is filled."""
    results, _, _ = demo
    rows = read_ledger(DEMO / "ledger.csv", file="ledger.csv")
    session = results.session.spec
    pads = {row.entry for row in rows}
    assert len(pads) == 8
    assert pads & set(session.entries) == {"alder"}
    assert all(row.episode < session.episode.number for row in rows)
    columns = {points.figure for points in session.points.values()}
    assert {(row.entry, row.figure) for row in rows} == {(p, c) for p in pads for c in columns}
    assert sum(points.most for points in session.points.values()) == 100
    assert {row.action for row in rows} == {"result", "withdrawn"}


def test_what_the_host_says_of_the_standings_holds(
    demo: tuple[Results, Outline, Problems],
) -> None:
    """Basalt leads, Cobble is second, Alder climbs from second last to third."""
    results, _, _ = demo
    places = {line.row.entry: (line.row.rank, line.previous_rank) for line in results.standings}
    assert len(places) == 11
    assert places["basalt"] == (1, None)
    assert places["cobble"] == (2, None)
    assert places["alder"] == (3, 7)


def test_what_the_host_says_of_the_tests_holds(
    demo: tuple[Results, Outline, Problems],
) -> None:
    """Every claim of the narration that is not a reference, held against the figures."""
    results, _, _ = demo

    def of(figure: str) -> dict[str, float]:
        return {
            entry: found.value
            for (name, entry), found in results.figures.items()
            if name == figure and found.value is not None
        }

    cold, last, kept = of("cold_mean"), of("cold_late"), of("drag_kept")
    assert max(cold, key=cold.__getitem__) == "alder"
    assert min(cold, key=cold.__getitem__) == "dune"
    assert last["basalt"] > last["alder"]
    bite = of("wet_bite")
    assert bite["cobble"] > 2
    assert bite["dune"] < 0.5
    assert abs(of("wet_mean")["basalt"] - of("wet_mean")["alder"]) < 1
    assert min(kept, key=kept.__getitem__) == "alder"
    assert kept["basalt"] > 105
    assert of("drag_start")["alder"] > of("drag_start")["basalt"]
    hot = of("drag_hot")
    assert (max(hot, key=hot.__getitem__), min(hot, key=hot.__getitem__)) == ("basalt", "dune")
    assert [entry for entry, share in of("claim_kept").items() if share > 100] == ["cobble"]
    prices = {
        key: entry.attributes["price"].value for key, entry in results.session.spec.entries.items()
    }
    masses = {
        key: entry.attributes["mass"].value for key, entry in results.session.spec.entries.items()
    }
    assert max(prices, key=prices.__getitem__) == "basalt"
    assert min(masses, key=masses.__getitem__) == "dune"


def test_every_reference_of_the_outlines_is_filled_in(
    demo: tuple[Results, Outline, Problems], mini: tuple[Results, Outline, Problems]
) -> None:
    """No brace is left in what is read aloud."""
    for _, outline, _ in (demo, mini):
        assert not any("{" in beat.narration for beat in outline.beats)
        assert any(beat.figures for beat in outline.beats)


@pytest.mark.parametrize(
    ("cue", "figure"),
    [
        ("cold-all", "cold_3s"),
        ("cold-crossing", "cold_late"),
        ("wet-all", "wet_1s"),
        ("drag-all", "drag_late"),
    ],
)
def test_a_gap_the_host_names_is_the_gap_called_out_on_screen(
    demo: tuple[Results, Outline, Problems], cue: str, figure: str
) -> None:
    """The figure said aloud is taken at the moment of the call-out, from the same two pads."""
    results, outline, _ = demo
    beat = next(beat for beat in outline.beats if cue in [found.cue for found in beat.cues])
    options = next(found.options for found in beat.cues if found.cue == cue)
    spec = results.session.spec.figures[figure]
    assert isinstance(spec, AtFigure)
    assert spec.at == Quantity.parse(options["gap_at"])
    assert spec.test == options["test"]
    assert {(figure, entry) for entry in options["gap"]} <= set(beat.figures)
