"""When things happen on a curves overlay: the panel, then axes, then data, then comparisons."""

from __future__ import annotations

import math
from dataclasses import dataclass

from overlays.draw.motion import Move, staged
from overlays.errors import OutlineError
from overlays.kinds._curve_content import CurvesContent, Step
from overlays.model.clip import Stage
from overlays.style.house import Style

__all__ = ["Timing", "timing"]

# Without a style, as when a length is only checked, stages are as long as this.
_STAGE_S = 0.4
# How long a cue that curves fill looks at the end, and its share of the cue at most.
_LOOK_S, _LOOK_SHARE = 1.6, 0.2
# How much longer is looked at what comes between two steps, and at a verdict in words.
_REST_S, _VERDICT_S = 0.8, 1.5
# How long a crosshair takes across the whole run.
_TRAVEL_S = 6.0
# How many steps the axes take to close in, with a look before they do.
_CLOSER = 5


@dataclass(frozen=True, slots=True)
class Timing:
    """What happens when.

    Parameters
    ----------
    panel, axes, data : Move
        The stages up to the last sample.
    steps : tuple of Move
        One each of the content's `steps`.
    per_frame_s : float
        Seconds of the run drawn in a frame.
    length_s : float
        Of the run.
    pause : Move
        Frames on which the drawing stops; of no length where it never does.
    """

    panel: Move
    axes: Move
    data: Move
    steps: tuple[Move, ...]
    per_frame_s: float
    length_s: float
    pause: Move

    def elapsed_s(self, frame: int, turn: int = 0) -> float:
        """Return the time of the run up to which a line is drawn at a frame, 0 before its turn."""
        if frame + 1 >= self.data.end:
            return self.length_s
        drawn = frame - self.data.first + 1
        if frame >= self.pause.first:
            drawn -= min(frame - self.pause.first + 1, self.pause.frames)
        passed = drawn * self.per_frame_s - turn * self.length_s
        return min(max(passed, 0.0), self.length_s)

    def frame_at(self, run_s: float, turn: int = 0) -> int:
        """Return the first frame that shows a line up to a time."""
        passed_s = run_s + turn * self.length_s
        # A breath less, so that a time that falls on a frame is not pushed to the next.
        place = self.data.first + max(0, math.ceil(passed_s / self.per_frame_s - 1e-6) - 1)
        if place >= self.pause.first:
            place += self.pause.frames
        return min(place, self.data.end - 1)


def timing(
    content: CurvesContent, stage: Stage, *, style: Style | None, look_s: float = 0.0
) -> Timing:
    """Share a cue's frames out.

    `look_s` is how much longer a cue that curves fill looks at the end, for what else is there.

    Raises
    ------
    OutlineError
        If the run at live pace leaves no frame for the axes and what comes after it.
    """
    motion = style.motion if style is not None else None
    panel_s, axes_s = (motion.panel, motion.axes) if motion else (_STAGE_S, _STAGE_S)
    settle_s = motion.swap if motion else _STAGE_S
    steps_s = _steps_s(content, motion.step if motion else _STAGE_S)
    rate, frames = float(stage.rate), stage.frames
    turns = len(content.lines) if content.in_turn else 1
    whole_s = content.length_s * turns
    held = round(content.pause.hold_s * rate) if content.pause is not None else 0
    least = 2 + len(steps_s)
    if content.pace == "live":
        run = math.ceil(whole_s * rate - 1e-9)
    else:
        share_s = _LOOK_SHARE * frames / rate
        looked_s = min(_LOOK_S, share_s) + min(_read_s(content) + look_s, share_s)
        around = round((panel_s + axes_s + settle_s + sum(steps_s) + looked_s) * rate)
        # A cue too short for all of it has its pause shortened first.
        held = min(held, max(0, frames // 2 - least))
        most = frames - held
        run = max(1, most - around, min(most // 2, most - least))
    spare = frames - run - held
    if spare < least:
        needed_s = (run + held + least) / rate
        raise OutlineError(
            f"the cue lasts {frames / rate:.2f} s; {_what(content)} at "
            f"{content.pace} pace needs at least {needed_s:.2f} s.",
            code="cue-too-short",
            field="pace",
            remedy='Make the cue longer, or write pace = "fit".',
        )
    first, second = staged((panel_s, axes_s), stage.rate, max(2, spare * 3 // (5 + len(steps_s))))
    drawing = Move(second.end, run + held)
    per_frame_s = 1 / rate if content.pace == "live" else whole_s / run
    before = drawing.end
    if content.pause is not None:
        before = drawing.first + min(run - 1, math.ceil(content.pause.at_s / per_frame_s - 1e-6))
    return Timing(
        first,
        second,
        drawing,
        _after(drawing, steps_s, settle_s, stage),
        per_frame_s,
        content.length_s,
        Move(before, held),
    )


def _read_s(content: CurvesContent) -> float:
    """Return the time that several steps, and verdicts, want to be read in."""
    verdicts = sum(1 for gap in content.gaps if gap.verdict)
    return _REST_S * max(0, len(content.steps) - 1) + _VERDICT_S * verdicts


def _what(content: CurvesContent) -> str:
    what = f"the run of {content.length_s:g} s"
    if content.in_turn and len(content.lines) > 1:
        what = f"{len(content.lines)} runs of {content.length_s:g} s in turn"
    return f"{what} with its pause" if content.pause is not None else what


def _steps_s(content: CurvesContent, step_s: float) -> tuple[float, ...]:
    """Return how long each step wants to take."""
    lengths: dict[Step, float] = {
        "inset": 2 * step_s, "gap": step_s, "reading": step_s, "closer": _CLOSER * step_s,
    }  # fmt: skip
    if content.reading is not None:
        way = abs(content.reading.end_s - content.reading.start_s) / content.length_s
        lengths["reading"] += way * _TRAVEL_S
    return tuple(lengths[what] for what, _ in content.steps)


def _after(
    drawing: Move, steps_s: tuple[float, ...], settle_s: float, stage: Stage
) -> tuple[Move, ...]:
    """Place the steps after the drawing, with a rest between and a look at the end."""
    rate, left = float(stage.rate), stage.frames - drawing.end
    # Each step has a frame at least, whatever else there is no room for.
    spare = left - len(steps_s)
    settle = max(0, min(round(settle_s * rate), left // 3, spare))
    look = max(0, min(round(_LOOK_S / 4 * rate), (left - settle) // 3, spare - settle))
    room = left - settle - look
    # Every second one is a rest, in which what has come is looked at.
    rest_s = settle_s + _REST_S
    if (sum(steps_s) + rest_s * (len(steps_s) - 1)) * rate > room:
        rest_s = settle_s
    lengths = [length for step_s in steps_s for length in (step_s, rest_s)][:-1]
    if len(lengths) > room:
        lengths = list(steps_s)
        moves = staged(lengths, stage.rate, room)
    else:
        moves = staged(lengths, stage.rate, room)[::2]
    return tuple(Move(drawing.end + settle + move.first, move.frames) for move in moves)
