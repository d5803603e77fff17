"""Whether a clip's flashing stays within ITU-R BT.1702 and WCAG 2.3.1.

**This is a measurement against published limits, no medical guarantee.** The limits, and what is
not judged, stand in `overlays.checks.flash_definitions`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction

from overlays.checks.findings import Finding
from overlays.checks.flash_bound import FlashBound
from overlays.checks.flash_definitions import FIELD_SHARE, MOST_FLASHES
from overlays.checks.flash_meter import FlashCount, FlashMeter, FlashVerdict
from overlays.draw.patch import Pixels, Rect

__all__ = ["NO_GUARANTEE", "STILLS", "judge_bound", "judge_flashing", "measure_flashing"]

NO_GUARANTEE = (
    "A measurement against published limits, no medical guarantee; follow the rules of whoever "
    "shows the programme."
)


STILLS = ("checkerboard", "black", "white")
"""The backdrops of `overlays.draw.backdrop` that every clip is measured over."""


def measure_flashing(
    frames: Iterable[tuple[Pixels, Sequence[Rect] | None]],
    backdrops: Mapping[str, Pixels],
    *,
    rate: Fraction,
    within: Rect | None = None,
) -> tuple[FlashVerdict, ...]:
    """Measure a clip over several still backdrops in one pass.

    Parameters
    ----------
    frames : iterable of (ndarray of shape (H, W, 4), sequence of Rect or None)
        Each frame's straight RGBA, and where it may differ from the one before (None: anywhere).
        The array may be the same one, overwritten.
    backdrops : Mapping[str, ndarray of shape (H, W, 3)]
        Still pictures by name; over footage use `FlashMeter` with its frames.
    rate : Fraction
        Frames per second.
    within : Rect, optional
        Nothing outside is measured; everything by default.
    """
    pictures = tuple(backdrops.values())
    height, width = pictures[0].shape[:2]
    meter = FlashMeter(width, height, rate=rate, backdrops=tuple(backdrops), within=within)
    for pixels, changed in frames:
        meter.add(pixels, pictures, changed=changed)
    return meter.verdicts()


def judge_flashing(verdicts: Sequence[FlashVerdict], *, least: int = 0) -> tuple[Finding, ...]:
    """Judge a clip by its verdicts over all backdrops.

    Parameters
    ----------
    verdicts : sequence of FlashVerdict
        One a backdrop.
    least : int
        How many flashes within a second there may have been where nothing was measured.

    Returns
    -------
    tuple of Finding
        A failure for each definition that is exceeded, over the backdrop where it is worst and at
        the first frame there; else one pass. Each says that it is no medical guarantee.
    """
    worst: dict[str, tuple[FlashCount, str]] = {}
    for verdict in verdicts:
        for count in verdict.counts:
            known = worst.get(count.definition)
            if not count.passed and (known is None or count.field_share > known[0].field_share):
                worst[count.definition] = (count, verdict.backdrop)
    if worst:
        return tuple(_failure(count, backdrop) for count, backdrop in worst.values())
    found = max((count.most_per_s for v in verdicts for count in v.counts), default=0)
    most = max(found, least)
    seen = ", ".join(verdict.backdrop for verdict in verdicts)
    message = (
        f"at most {most} flashes within a second anywhere, and never more than {MOST_FLASHES} on "
        f"too large an area; seen over {seen}. {NO_GUARANTEE}"
    )
    return (Finding("flashing", "pass", message),)


def judge_bound(bound: FlashBound) -> Finding:
    """Return the pass of a clip that is proven without measuring light.

    Raises
    ------
    ValueError
        If it is not proven.
    """
    if bound.doubtful_frames:
        raise ValueError("the clip is not proven; measure it")
    message = (
        f"what changes more than {2 * MOST_FLASHES + 1} times within a second covers at most "
        f"{bound.field_share:.0%} of a 10 degree field of view, over any still picture; "
        f"{float(FIELD_SHARE):.0%} may flash. {NO_GUARANTEE}"
    )
    return Finding("flashing", "pass", message)


def _failure(count: FlashCount, backdrop: str) -> Finding:
    return Finding(
        "flashing",
        "fail",
        f"{count.definition} flashes: {count.most_per_s} within a second over {backdrop}, on "
        f"{count.field_share:.0%} of a 10 degree field of view; expected {MOST_FLASHES} or fewer, "
        f"or {float(FIELD_SHARE):.0%} or less (ITU-R BT.1702, WCAG 2.3.1, the stricter area). "
        f"{NO_GUARANTEE}",
        "Slow the motion down, lower its contrast or make it smaller.",
        frame=count.first_frame,
    )
