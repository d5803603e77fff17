"""Rows of a delimited log, a block at a time: undamaged blocks at once, the others line by line.

A block that is not plainly good is halved until the damage sits in a small one, so that one bad
line costs little in a file of millions.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator
from concurrent.futures import Future, ThreadPoolExecutor

import numpy as np

from overlays.logs.lines import split
from overlays.logs.rowblocks import at_once, sifted, worded
from overlays.logs.rowlines import by_line
from overlays.logs.rowplan import Event, Part, RowPlan
from overlays.logs.stamps import Stamps

__all__ = ["parse_block", "parse_blocks"]

SMALL = 64 << 10
_WORKERS = 3  # one more than two processors, for each waits a little for the interpreter
_LOOKED_BACK = 4096


def parse_blocks(blocks: Iterator[bytes], plan: RowPlan, *, small: int = SMALL) -> Iterator[Part]:
    """Parse blocks in order, several at a time, without holding more than a few."""
    with ThreadPoolExecutor(_WORKERS) as pool:
        waiting: deque[Future[list[Part]]] = deque()
        for block in blocks:
            waiting.append(pool.submit(parse_block, block, plan, small=small))
            if len(waiting) > _WORKERS:
                yield from waiting.popleft().result()
        while waiting:
            yield from waiting.popleft().result()


def parse_block(block: bytes, plan: RowPlan, *, small: int = SMALL) -> list[Part]:
    """Parse one block of UTF-8 lines.

    Parameters
    ----------
    block : bytes
        Whole lines; the last of the file may lack its end.
    plan : RowPlan
        What rows look like.
    small : int
        Blocks up to this many bytes are read line by line straight away.
    """
    if not block.endswith(b"\n"):
        return _with_open_end(block, plan, small)
    if len(block) <= small:
        return [by_line(block, plan)]
    part = at_once(block, plan) or sifted(block, plan) or worded(block, plan)
    if part is not None:
        return [part]
    middle = block.find(b"\n", len(block) // 2) + 1
    if not 0 < middle < len(block):
        return [by_line(block, plan)]
    return [
        *parse_block(block[:middle], plan, small=small),
        *parse_block(block[middle:], plan, small=small),
    ]


def _with_open_end(block: bytes, plan: RowPlan, small: int) -> list[Part]:
    """Parse the end of a file whose last line has no end, and may have been cut off."""
    start = block.rfind(b"\n") + 1
    before = block[max(0, start - _LOOKED_BACK) : start].decode("utf-8", "replace").split("\n")
    last = by_line(block[start:] + b"\n", plan)
    rows = [split(line, plan.delimiter) for line in before[-22:-1] if "\0" not in line]
    cells = split(block[start:].decode("utf-8", "replace"), plan.delimiter)
    if _is_cut(cells, [row for row in rows if len(row) == len(cells)], plan.decimal):
        last = Part(
            [c[:0] for c in last.numbers],
            [Stamps.blank(0) for _ in last.stamps],
            np.zeros(0, np.int64),
            1,
            last.size,
        )
        message = "is cut off by the end of the file; left out"
        last.events.append(Event("cut-off lines", 0, message))
    elif last.lines is not None and len(last.lines):
        message = "has no line end; its last value may be cut off"
        last.events.append(Event("open ends", 0, message))
    return [*(parse_block(block[:start], plan, small=small) if start else []), last]


def _is_cut(cells: list[str], rows: list[list[str]], decimal: str) -> bool:
    """Say whether the last cell has fewer decimals than that column always has."""
    places = {len(row[-1].partition(decimal)[2]) for row in rows}
    return len(places) == 1 and len(cells[-1].partition(decimal)[2]) < next(iter(places))
