"""Standings: the table shows the standings before and after, and no number that is not real."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overlays.draw.canvas import draw_alone
from overlays.draw.numerals import Numerals
from overlays.errors import OutlineError
from overlays.kinds._standings_scene import StandingsScene
from overlays.kinds._table import StandingsContent
from overlays.kinds.registry import build
from overlays.kinds.standings import Standings
from tests.kinds.conftest import Bench, content_of, cue, stage
from tests.kinds.tables import SEASON, Points, season_results

SHAPES = [(1920, 1080), (1080, 1920), (1080, 1080)]
FRAMES = 400


def content_for(
    season: dict[str, tuple[Points | None, Points]] | None = None, **options: object
) -> StandingsContent:
    content = content_of(season_results(season or SEASON), "standings", **options)
    assert isinstance(content, StandingsContent)
    return content


def scene_for(
    bench: Bench, content: StandingsContent, shape: tuple[int, int] = (480, 270)
) -> StandingsScene:
    return StandingsScene(content, stage(*shape, frames=FRAMES), bench.style)


def test_it_begins_and_ends_with_the_standings(bench: Bench) -> None:
    """Before anything changes rows and places are the old ones, at the end the new ones."""
    content = content_for()
    scene = scene_for(bench, content)
    first = scene._changes - 1
    order = sorted(scene.places_at(first), key=scene.places_at(first).__getitem__)
    assert [content.rows[i].name for i in order] == [
        "Fennel", "Osier", "Nettle", "Pumice", "Alder", "Marl", "Tallow",
    ]  # fmt: skip
    assert scene.numbers_at(first) == (1, 1, 1, 1, 5, 6, None)
    end = scene.places_at(FRAMES - 1)
    assert [end[i] for i in range(len(content.rows))] == list(range(len(content.rows)))
    assert scene.numbers_at(FRAMES - 1) == tuple(row.rank for row in content.rows)
    assert scene.numbers_at(FRAMES - 1) == (1, 2, 2, 2, 2, 6, 7, 8, None)


def test_places_count_on_after_a_tie_where_the_season_says_so() -> None:
    """With places counted 1, 1, 2 the numbers on the way do so too."""
    content = replace(content_for(), dense=True)
    rows = tuple(replace(row, rank=rank) for row, rank in zip(
        content.rows, (1, 2, 2, 2, 2, 3, 4, 5, None), strict=True
    ))  # fmt: skip
    content = replace(content, rows=rows)
    order = range(len(rows))
    assert content.numbers(order, order) == (1, 2, 2, 2, 2, 3, 4, 5, None)


def test_ties_keep_their_order_in_every_frame(bench: Bench) -> None:
    """Entries that share a place before and now never pass each other."""
    content = content_for()
    scene = scene_for(bench, content)
    tied = [i for i, row in enumerate(content.rows) if row.rank == 2]
    assert len(tied) == 4
    for frame in range(0, FRAMES, 3):
        found = scene.places_at(frame)
        assert all(found[a] < found[b] for a, b in pairwise(tied))


def test_the_earlier_table_has_its_own_order() -> None:
    """Entries that tied then stand as they did then, whatever order they have now."""
    results = season_results()
    tied = [n for n, one in enumerate(results.standings) if one.previous_rank == 1]
    assert len(tied) > 1
    lines = dict(zip(tied, reversed(range(len(tied))), strict=True))
    standings = tuple(
        replace(one, previous_line=lines.get(n, n)) for n, one in enumerate(results.standings)
    )
    content = Standings().content(replace(results, standings=standings))
    assert content.before[: len(tied)] == tuple(reversed(tied))


def test_one_row_travels_at_a_time(bench: Bench) -> None:
    """At any frame at most one row is on its way, and all others are a place apart."""
    scene = scene_for(bench, content_for())
    for frame in range(FRAMES):
        found = scene.places_at(frame)
        begun = scene._begun(frame)
        travelling = scene._steps[begun - 1].row if begun else -1
        rest = sorted(place for row, place in found.items() if row != travelling)
        assert all(b - a > 0.99 for a, b in pairwise(rest))


def test_every_score_drawn_is_the_sum_of_its_points(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Scores are never counted up: what is drawn is the sum of points before, or of those now."""
    drawn: set[str] = set()
    original = Numerals.layer

    def noted(self: Numerals, text: str, right: int, baseline: int) -> object:
        if "." in text:
            drawn.add(text)
        return original(self, text, right, baseline)

    monkeypatch.setattr(Numerals, "layer", noted)
    scene_for(bench, content_for())
    sums = {
        str(sum((Decimal(part) for part in points if part is not None), Decimal(0)))
        for pair in SEASON.values()
        for points in pair
        if points is not None and any(points)
    }
    assert drawn == sums


def test_the_bar_is_as_long_as_its_points(bench: Bench) -> None:
    """Bars are true to the rule at the foot, and parted where a column ends."""
    content = content_for()
    scene = scene_for(bench, content, (1920, 1080))
    alder = scene._rows[0].now[1].covers
    at = scene._grid.scale.at
    assert alder.left == pytest.approx(at(0), abs=1)
    assert alder.right == pytest.approx(at(43.6), abs=1)
    solid = scene._rows[0].now[1].patch.pixels[0, :, 3] > 0
    (gap,) = np.flatnonzero(np.diff(solid.astype(int)) == 1)
    assert alder.left + gap == pytest.approx(at(30.0), abs=2)


def test_an_old_place_and_score_are_struck_and_stay(bench: Bench) -> None:
    """A marked row keeps what it had, struck, to the end; an unchanged row strikes nothing."""
    content = content_for()
    scene = scene_for(bench, content)
    marked, same = scene._rows[0], scene._rows[8]
    last = scene._row(0, FRAMES - 1)
    assert all(any(layer.patch is part.patch for layer in last)
               for part in (*marked.before, *marked.strike, *marked.was))  # fmt: skip
    assert (same.strike, same.was) == ((), ())


@pytest.mark.parametrize("rows", [3, 4, 6])
def test_a_long_table_is_turned_to_the_traveller(bench: Bench, rows: int) -> None:
    """With fewer rows shown than there are, a marked row is on the page before and after it goes.

    Whatever slides does so by two rows at most: rows that ran past would flash.
    """
    scene = scene_for(bench, content_for(rows=rows))
    assert scene._grid.shown == rows
    tops: set[float] = set()
    for frame in range(FRAMES):
        pages = scene.pages_at(frame)
        tops |= {top for top, _ in pages}
        assert sum(window.area for _, window in pages) == scene._grid.area.area
        assert all(0 <= top <= len(scene._content.rows) - rows for top, _ in pages)
    assert len(tops) > 1
    for act in scene._acts:
        assert act.kind != "slide" or abs(act.view[1] - act.view[0]) <= 2
    for step, move in zip(scene._steps, scene._travels, strict=True):
        if scene._content.rows[step.row].marked:
            (before,), ended = scene.pages_at(move.first), scene.pages_at(move.end - 1)
            assert before[0] <= step.start < before[0] + rows
            after = [scene.pages_at(f)[-1] for f in range(move.end, min(move.end + 40, FRAMES))]
            assert ended[0] == before
            assert any(top <= step.end < top + rows for top, _ in after)


def test_what_is_out_of_view_is_not_drawn(bench: Bench) -> None:
    """Rows outside the view leave no pixel above or below the table's rows."""
    scene = scene_for(bench, content_for(rows=4), (1080, 1080))
    bare = scene._plate
    for frame in range(100, FRAMES, 40):
        for layer in scene.layers(frame)[len(bare) + len(scene._ruled) :]:
            assert layer.covers.empty or layer.covers.top >= scene._grid.top
            assert layer.covers.empty or layer.covers.bottom <= scene._grid.area.bottom


@pytest.mark.parametrize("shape", SHAPES)
def test_long_names_and_many_rows_overlap_nothing(bench: Bench, shape: tuple[int, int]) -> None:
    """With twenty rows and names without end, no two texts of the final table share a pixel."""
    season: dict[str, tuple[Points | None, Points]] = {
        f"{'long-name ' * (1 + i % 9)}{i}": ((f"{20 + i}.5", "1.0"), (f"{40 - i}.5", "10.0"))
        for i in range(19)
    }
    season["alder"] = (("1.0", "-11.3"), ("29.0", "-13.6"))
    content = content_for(season, entries=["alder"])
    scene = scene_for(bench, content, shape)
    taken = np.zeros((shape[1], shape[0]), np.uint8)
    strikes = {id(layer.patch) for row in scene._rows for layer in row.strike}
    # A marked row's ground lies under everything in it, and its strike over what is struck.
    for layer in scene._table(FRAMES - 1):
        if layer.patch.width > shape[0] // 2 or id(layer.patch) in strikes:
            continue
        left, top, right, bottom = layer.covers
        if right <= left or bottom <= top:
            continue
        part = layer.patch.pixels[top - layer.top : bottom - layer.top]
        ink = part[:, left - layer.left : right - layer.left, 3] > 32
        taken[top:bottom, left:right] += ink
    assert taken.max() == 1


@pytest.mark.parametrize(
    ("season", "says"),
    [
        ({"alder": (None, ("10.0", "-13.6"))}, "1 Alder -3.6 (new)"),
        ({"alder": (None, (None, None))}, "no place Alder without points (new)"),
        ({"alder": (("1.0", "2.0"), ("1.0", "2.0"))}, "1 Alder 3.0."),
    ],
)
def test_a_single_row_is_a_table_too(
    bench: Bench, season: dict[str, tuple[Points | None, Points]], says: str
) -> None:
    """A new entry, one without points and one that has not changed are drawn and told."""
    content = content_for(season)
    assert says in Standings.describe(content)
    assert draw_alone(scene_for(bench, content), FRAMES - 1)[..., 3].any()


def test_marked_rows_travel_as_named() -> None:
    """Named entries travel in that order, all of the session from the lowest up otherwise."""
    named = content_for(entries=["dune", "alder"])
    assert [named.rows[i].name for i in named.travellers] == ["Dune", "Alder"]
    assert [row.name for row in named.rows if row.marked] == ["Alder", "Dune"]
    every = content_for()
    assert [every.rows[i].name for i in every.travellers] == ["Basalt", "Dune", "Alder"]


def test_an_entry_without_a_row_is_refused() -> None:
    """An entry that is not in the standings is told by name."""
    results = season_results()
    overlay = build(cue("standings", entries=["cobble"]), results.session)
    with pytest.raises(OutlineError, match="'cobble' has no row") as caught:
        overlay.content(results)
    assert caught.value.field == "entries"


def test_a_cue_too_short_for_its_rows_is_refused() -> None:
    """A cue without two frames for each thing that happens is told how long it must be."""
    content = content_for()
    with pytest.raises(OutlineError, match=r"3 rows to travel it needs at least 0\.60 s"):
        Standings.check_length(content, stage(480, 270, frames=10))
    Standings.check_length(content, stage(480, 270, frames=60))


@settings(max_examples=25, deadline=None)
@given(
    scores=st.lists(
        st.tuples(st.none() | st.integers(-2, 3), st.none() | st.integers(-2, 3)),
        min_size=1,
        max_size=7,
    ),
    shown=st.none() | st.integers(3, 8),
)
def test_any_season_ends_as_it_stands(
    scores: list[tuple[int | None, int | None]], shown: int | None
) -> None:
    """Whatever ties, gaps and newcomers there are, places and numbers end as the standings say."""
    keys = ("alder", "basalt", "fennel", "osier", "dune", "marl", "cobble")
    season: dict[str, tuple[Points | None, Points]] = {
        key: (
            None if old is None and key in ("alder", "dune") else (_text(old), None),
            (_text(new), None),
        )
        for key, (old, new) in zip(keys, scores, strict=False)
    }
    content = content_for(season, rows=shown)
    order = tuple(range(len(content.rows)))
    assert content.numbers(order, order) == tuple(row.rank for row in content.rows)
    assert content.numbers(content.before, ()) == tuple(
        content.rows[i].old_rank for i in content.before
    )
    assert [i for i in order if content.rows[i].rank is None] == sorted(
        i for i in order if content.rows[i].score is None
    )


def _text(value: int | None) -> str | None:
    return None if value is None else f"{value}.0"
