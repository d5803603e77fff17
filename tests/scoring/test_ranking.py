"""Ranks against SciPy and outside rows."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import rankdata

from overlays.model.result import ScoreRow
from overlays.model.trustspec import StandingsSpec
from overlays.scoring.ranking import ranked, ranks
from tests.outside import Row, rows

RANKED = [row for row in rows("ranking", "rank.") if "score_higher_better" in row.input]


def decimals(scores: Sequence[float | None]) -> list[Decimal | None]:
    return [None if score is None else Decimal(str(score)) for score in scores]


@pytest.mark.parametrize("row", RANKED, ids=lambda row: row.id)
def test_ties_share_the_lower_number(row: Row) -> None:
    """1, 1, 3 or, gapless, 1, 1, 2, as SciPy's rankdata has them ("min" and "dense")."""
    scores = decimals(row.input["score_higher_better"])
    assert ranks(scores) == row.expected["competition_1224"]
    assert ranks(scores, dense=True) == row.expected["dense_1223"]


def test_what_is_missing_is_unranked_and_not_last() -> None:
    """A missing result has no rank, and takes none from the others."""
    (row,) = rows("ranking", "rank.nan")
    assert ranks(decimals([3.0, None, 1.0])) == [1, row.expected["rank"], 2]


def test_float_dust_does_not_part_a_tie() -> None:
    """Scores are decimals as shown: 0.1 + 0.2 and 0.3 tie once they are rounded."""
    (row,) = rows("ranking", "rank.float_tie")
    shown = [Decimal(str(round(value, 2))) for value in row.input["values"]]
    assert ranks(shown) == row.expected["after_rounding_to_2dp"]


@given(st.lists(st.integers(0, 5), min_size=1, max_size=12))
def test_ranks_are_those_of_scipy(scores: list[int]) -> None:
    """A second opinion on any scores."""
    found = ranks([Decimal(score) for score in scores])
    assert found == rankdata(-np.array(scores), method="min").astype(int).tolist()
    dense = ranks([Decimal(score) for score in scores], dense=True)
    assert dense == rankdata(-np.array(scores), method="dense").astype(int).tolist()


@given(st.lists(st.one_of(st.none(), st.integers(0, 3)), max_size=10))
def test_order_is_stable(scores: list[int | None]) -> None:
    """Ties and unranked entries keep the order they came in; the unranked come last."""
    table = [
        ScoreRow(f"e{place}", "", {}, {}, None if score is None else Decimal(score), None)
        for place, score in enumerate(scores)
    ]
    found = ranked(table, StandingsSpec())
    keys = [(row.rank is None, row.rank or 0, int(row.entry[1:])) for row in found]
    assert keys == sorted(keys)
    assert {row.entry for row in found} == {row.entry for row in table}
