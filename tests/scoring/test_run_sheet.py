"""The run sheet: what is still to be run, in a seeded, blocked random order."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from overlays.model.run import RunRef
from overlays.model.session import Session
from overlays.scoring.run_sheet import RunSheet, default_seed, run_sheet
from tests.scoring.building import session

ENTRIES = ("ash", "birch", "cedar", "dogwood")
MORE = "".join(f'[entries.{name}]\nname = "{name}"\n' for name in ENTRIES[2:])
SEEDS = st.integers(0, 2**40)
# How many runs of each entry are used on the test "hold", and which are left out.
RUNS = st.tuples(*(st.tuples(st.integers(0, 4), st.integers(0, 2)) for _ in ENTRIES))


def _ref(entry: str, test: str, repeat: int, *, use: bool = True) -> RunRef:
    file = f"logs/{entry}_{test}_{repeat}.csv"
    return RunRef(entry, test, repeat, Path(file), file, "slipped" if not use else "", use)


def _with_runs(runs: tuple[tuple[int, int], ...], of: Session | None = None) -> Session:
    refs = []
    for entry, (used, left_out) in zip(ENTRIES, runs, strict=False):
        refs += [_ref(entry, "hold", repeat) for repeat in range(1, used + 1)]
        refs += [_ref(entry, "hold", used + 1 + more, use=False) for more in range(left_out)]
    return replace(of or session(MORE), runs=tuple(refs))


def _order(sheet: RunSheet, test: str = "hold") -> list[tuple[int, str]]:
    return [(b.number, run.entry) for b in sheet.blocks if b.test == test for run in b.runs]


@given(RUNS, SEEDS)
def test_what_is_listed_is_what_is_planned_less_what_is_used(
    runs: tuple[tuple[int, int], ...], seed: int
) -> None:
    """Three runs of each entry on one test and one on the other; left-out runs do not count."""
    sheet = run_sheet(_with_runs(runs), seed=seed)
    wanted = {(entry, "pull"): 1 for entry in ENTRIES} | {
        (entry, "hold"): 3 - used
        for entry, (used, _) in zip(ENTRIES, runs, strict=True)
        if used < 3
    }
    assert Counter((run.entry, run.test) for run in sheet.runs) == wanted
    assert sheet.planned == 16
    assert sheet.planned - sheet.used == len(sheet.runs)


@given(RUNS, SEEDS)
def test_a_block_holds_every_entry_that_needs_the_test_once(
    runs: tuple[tuple[int, int], ...], seed: int
) -> None:
    """No entry twice in a block, none missing from a block while it still needs a run."""
    sheet = run_sheet(_with_runs(runs), seed=seed)
    for block in sheet.blocks:
        entries = [run.entry for run in block.runs]
        assert len(entries) == len(set(entries)) > 0
        if block.test == "hold":
            needing = {e for e, (used, _) in zip(ENTRIES, runs, strict=True) if used < block.number}
            assert set(entries) == needing


@given(RUNS, SEEDS)
def test_a_sheet_printed_later_keeps_the_order_of_the_first(
    runs: tuple[tuple[int, int], ...], seed: int
) -> None:
    """What is left stands in the order of the whole plan, with the runs made taken out."""
    of = _with_runs(runs)
    left, plan = _order(run_sheet(of, seed=seed)), _order(run_sheet(of, seed=seed, whole=True))
    assert len(plan) == 12
    assert left == [place for place in plan if place in left]


@given(RUNS, SEEDS)
def test_a_run_gets_a_number_that_no_run_has(runs: tuple[tuple[int, int], ...], seed: int) -> None:
    """A run left out keeps its number, and the run made in its stead takes the next free one."""
    of = _with_runs(runs)
    taken = {(ref.entry, ref.test, ref.repeat) for ref in of.runs}
    given_out = [(run.entry, run.test, run.repeat) for run in run_sheet(of, seed=seed).runs]
    assert not taken & set(given_out)
    assert len(given_out) == len(set(given_out))


def test_a_lost_run_in_the_middle_is_numbered_as_it_was() -> None:
    """Of runs 1 and 3, run 2 is the one to be made."""
    of = replace(session(), runs=(_ref("ash", "hold", 1), _ref("ash", "hold", 3)))
    assert [r.repeat for r in run_sheet(of).runs if (r.entry, r.test) == ("ash", "hold")] == [2]


def test_every_entry_comes_in_every_place_equally_often() -> None:
    """The counts of entry by place over 2000 seeds are even by the chi-square test.

    NIST/SEMATECH e-Handbook, 1.3.5.15; SciPy's chisquare. A level of 0.1 % on fixed seeds: the
    outcome does not vary from run to run of the tests.
    """
    of = session(MORE)
    for block in range(3):
        counts: Counter[tuple[str, int]] = Counter()
        for seed in range(2000):
            entries = [entry for _, entry in _order(run_sheet(of, seed=seed, whole=True))]
            counts.update((e, place) for place, e in enumerate(entries[4 * block : 4 * block + 4]))
        found = [counts[entry, place] for entry in ENTRIES for place in range(4)]
        # Rows and columns both add up to 2000, which leaves (4 - 1)² degrees of freedom.
        assert stats.chisquare(found, ddof=16 - 1 - 9).pvalue > 0.001


@given(SEEDS)
def test_no_entry_runs_twice_in_a_row(seed: int) -> None:
    """From three entries on, the last of a block is not the first of the next."""
    plan = [entry for _, entry in _order(run_sheet(session(MORE), seed=seed, whole=True))]
    assert all(a != b for a, b in pairwise(plan))


def test_two_entries_take_turns_at_going_first() -> None:
    """Of two, each goes first in some block, in some order: neither is always the colder one."""
    firsts = set()
    for seed in range(40):
        blocks = [b for b in run_sheet(session(), seed=seed).blocks if b.test == "hold"]
        firsts.add(tuple(block.runs[0].entry for block in blocks))
    assert {("ash", "ash", "ash"), ("ash", "birch", "ash"), ("birch", "ash", "birch")} <= firsts


def test_a_seed_gives_one_order_and_another_seed_another() -> None:
    """The same seed gives the same sheet; among ten seeds more than one order occurs."""
    of = session(MORE)
    assert run_sheet(of, seed=5).blocks == run_sheet(of, seed=5).blocks
    assert len({run_sheet(of, seed=seed).blocks for seed in range(10)}) > 1


def test_the_seed_comes_from_title_and_number() -> None:
    """Without a seed the session gives one, which is told, and differs between episodes."""
    one, other = session(), session()
    episode = other.spec.episode.model_copy(update={"number": 4})
    other = replace(other, spec=other.spec.model_copy(update={"episode": episode}))
    assert run_sheet(one).seed == default_seed(one) != default_seed(other)
    assert run_sheet(one).blocks == run_sheet(one, seed=default_seed(one)).blocks


def test_nothing_left_lists_nothing_and_the_whole_plan_everything() -> None:
    """With every planned run used there is no block, unless the whole plan is asked for."""
    refs = [_ref(e, "hold", n) for e in ENTRIES[:2] for n in (1, 2, 3)]
    of = replace(session(), runs=(*refs, *(_ref(e, "pull", 1) for e in ENTRIES[:2])))
    sheet = run_sheet(of)
    assert (sheet.blocks, sheet.planned, sheet.used) == ((), 8, 8)
    whole = run_sheet(of, whole=True)
    assert len(whole.runs) == 8
    assert [run.repeat for run in whole.runs if run.test == "pull"] == [1, 1]


def test_a_rule_that_needs_more_runs_than_planned_adds_them() -> None:
    """At least six valid runs (as UN R117 asks of a wet-grip test) are six to make, not one."""
    toml = '[tests.more]\nlabel = "More"\nlength = "1 s"\nrepeats = 1\nchannels = ["force"]\n'
    of = session(f'{toml}main = "held"\naccept = {{ runs = 6 }}\n')
    assert len([run for run in run_sheet(of).runs if run.test == "more"]) == 12


def test_a_pattern_says_what_to_call_the_log() -> None:
    """Entry, test and repeat are filled in; without a pattern nothing is said."""
    toml = '[tests.more]\nlabel = "More"\nlength = "1 s"\nrepeats = 1\nchannels = ["force"]\n'
    of = session(f'{toml}main = "held"\nfiles = "logs/{{test}}/{{entry}}_{{repeat}}.csv"\n')
    files = {run.file for run in run_sheet(of).runs}
    assert files == {"", "logs/more/ash_1.csv", "logs/more/birch_1.csv"}
