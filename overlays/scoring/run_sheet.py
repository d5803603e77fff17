"""The run sheet: what is still to be run, in an order that favours no entry.

Runs come in blocks. A block holds every entry that needs the test once, in random order, so that
what changes while the bench is used (a motor warming up, a battery running down, the day getting
hotter) meets every entry about alike: randomized block designs, NIST/SEMATECH e-Handbook of
Statistical Methods, 5.3.3.2. Repeats within a block would be closer to the repeatability
conditions of ISO 5725-1 (a short interval of time; from memory), but they would let the entry run
last carry all of the drift. From three entries on, none is run twice in a row across two blocks, so
that each has its rest; with two, that would let the same one always go first.

The order is a pure function of seed, test and entries: a sheet printed half-way through lists
what is left in the same order as the sheet printed before the first run.
"""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from overlays.model.session import Session, TestSpec

__all__ = ["RunBlock", "RunSheet", "RunToDo", "default_seed", "run_sheet"]


@dataclass(frozen=True, slots=True)
class RunToDo:
    """One run to be made.

    Parameters
    ----------
    entry, test : str
        Keys.
    repeat : int
        The number to give it: the lowest that no run of the entry on the test has.
    file : str
        What to call its log, where the test has a file-name pattern; else empty.
    """

    entry: str
    test: str
    repeat: int
    file: str


@dataclass(frozen=True, slots=True)
class RunBlock:
    """Runs of one test to be made one after the other, each entry once.

    Parameters
    ----------
    test : str
        Key.
    number : int
        Which round of the test's planned repeats it is, from 1.
    runs : tuple of RunToDo
        In the order to run them; at least one.
    """

    test: str
    number: int
    runs: tuple[RunToDo, ...]


@dataclass(frozen=True, slots=True, eq=False)
class RunSheet:
    """What is to be run, in order.

    Parameters
    ----------
    session : Session
        Whose runs they are.
    seed : int
        What the order came from; the same one gives the same order.
    whole : bool
        Whether the whole plan is listed, or only what is still to be run.
    blocks : tuple of RunBlock
        Test by test in the session's order, for changing the bench over takes longest.
    planned, used : int
        Runs planned in all, and those of them that are there and used.
    """

    session: Session
    seed: int
    whole: bool
    blocks: tuple[RunBlock, ...]
    planned: int
    used: int

    @property
    def runs(self) -> tuple[RunToDo, ...]:
        """Every run listed, in order."""
        return tuple(run for block in self.blocks for run in block.runs)


def default_seed(session: Session) -> int:
    """Return the seed of a session that names none: made of its title and number."""
    return _number("seed", session.spec.episode.title, session.spec.episode.number) % 10**6


def run_sheet(session: Session, *, seed: int | None = None, whole: bool = False) -> RunSheet:
    """List what is still to be run.

    Planned are the repeats of each test, or the fewest valid runs of its ``accept`` table where
    those are more. A run that was left out counts as not there, and keeps its number.

    Parameters
    ----------
    session : Session
        What is planned and which runs there are; logs are not opened.
    seed : int, optional
        Chooses the order; by default `default_seed`.
    whole : bool
        List the whole plan, as if nothing had been run.
    """
    if seed is None:
        seed = default_seed(session)
    used = Counter((ref.entry, ref.test) for ref in session.runs if ref.use)
    spec = session.spec
    blocks: list[RunBlock] = []
    done = 0
    for test, declared in spec.tests.items():
        planned = _planned(declared)
        there = {entry: 0 if whole else used[entry, test] for entry in spec.entries}
        numbers = {
            entry: _free_numbers(session, entry, test, whole=whole) for entry in spec.entries
        }
        done += sum(min(used[entry, test], planned) for entry in spec.entries)
        for block, order in enumerate(_orders(seed, test, tuple(spec.entries), planned), start=1):
            # The runs there stand for the first blocks, so that what is left are the last ones.
            needing = [entry for entry in order if there[entry] < block]
            runs = tuple(_run(declared, test, entry, next(numbers[entry])) for entry in needing)
            if runs:
                blocks.append(RunBlock(test, block, runs))
    total = len(spec.entries) * sum(_planned(test) for test in spec.tests.values())
    return RunSheet(session, seed, whole, tuple(blocks), total, done)


def _planned(test: TestSpec) -> int:
    return max(test.repeats, test.accept.runs if test.accept else 0)


def _orders(
    seed: int, test: str, entries: tuple[str, ...], blocks: int
) -> Iterator[tuple[str, ...]]:
    last = ""
    for block in range(1, blocks + 1):
        order = _shuffled(entries, seed, test, block)
        if order[0] == last and len(order) > 2:
            order[:2] = order[1::-1]
        last = order[-1]
        yield tuple(order)


def _shuffled(entries: tuple[str, ...], *key: object) -> list[str]:
    return sorted(entries, key=lambda entry: _number(*key, entry))


def _free_numbers(session: Session, entry: str, test: str, *, whole: bool) -> Iterator[int]:
    taken = {
        ref.repeat for ref in session.runs if not whole and (ref.entry, ref.test) == (entry, test)
    }
    number = 0
    while True:
        number += 1
        if number not in taken:
            yield number


def _run(test: TestSpec, key: str, entry: str, repeat: int) -> RunToDo:
    # No str.format: a session's text is never given anything it could call.
    file = test.files.replace("{entry}", entry).replace("{test}", key)
    return RunToDo(entry, key, repeat, file.replace("{repeat}", str(repeat)))


def _number(*parts: object) -> int:
    """Return a number that depends on all parts and on nothing else, evenly spread.

    A digest instead of Python's own shuffle: that one may change with the version of Python, and
    depends on how many there are to shuffle.
    """
    text = "\x00".join(str(part) for part in parts)
    return int.from_bytes(hashlib.sha256(text.encode()).digest()[:8])
