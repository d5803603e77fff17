from __future__ import annotations

import numpy as np

from overlays.logs.rowplan import Part


def test_a_part_starts_without_events() -> None:
    """Two parts share no list."""
    one, other = (Part([np.zeros(0)], [], None, 0, 0) for _ in range(2))
    one.breaks.append(1)
    assert (other.breaks, other.events) == ([], [])
