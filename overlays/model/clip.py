"""A clip to be rendered: everything a worker needs, no pixels."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import Any, Literal

from overlays.timecode import Timebase

__all__ = ["CODECS", "Clip", "MotionChoice", "Place", "Stage"]

# Name on the command line → file ending. All carry straight alpha.
CODECS = {"prores4444": ".mov", "vp9": ".webm", "qtrle": ".mov", "png": "", "ffv1": ".mkv"}

Place = Literal[
    "head-left", "head", "head-right", "left", "middle", "right", "foot-left", "foot", "foot-right"
]
"""Where an overlay may be put; `head` and `foot` without a side are halfway between the sides."""

MotionChoice = Literal["full", "reduced"]
"""Whether what comes is seen on its way, or is there at once."""


@dataclass(frozen=True, slots=True)
class Stage:
    """Where and how long an overlay plays.

    Parameters
    ----------
    width, height : int
        The canvas in pixels.
    rate : Fraction
        Frames per second.
    frames : int
        Length of the cue, without handles.
    style : str
        Name of the house style.
    style_root : str
        Folder the style was found in.
    decimal_mark : str
        As the session says.
    place : str or None
        Where the overlay is put; None where its kind does.
    leave : int
        Frames at the end of the cue in which it leaves, none of it being left on the last; 0 where
        it stands on.
    motion : {"full", "reduced"}
        As the session says.
    """

    width: int
    height: int
    rate: Fraction
    frames: int
    style: str
    style_root: str
    decimal_mark: str = "."
    place: Place | None = None
    leave: int = 0
    motion: MotionChoice = "full"

    @property
    def standing(self) -> int:
        """Frames up to which it comes and stands; it is complete on the one before."""
        return self.frames - self.leave

    @property
    def before_leaving(self) -> Stage:
        """The stage of coming and standing alone, which is all that a kind knows of."""
        return replace(self, frames=self.standing, leave=0)


@dataclass(frozen=True, slots=True)
class Clip:
    """One clip of an episode.

    The file holds ``handles[0] + stage.frames + handles[1]`` frames. Frame `i` of the file shows
    frame ``clamp(i - handles[0])`` of the overlay: before the cue the overlay is not there yet,
    after it the overlay's last state stands, which is nothing where the overlay leaves.

    Parameters
    ----------
    cue, kind, beat : str
        Ids.
    file : str
        File name without folder, safe everywhere.
    first_frame : int
        Where the cue begins on the episode's timeline; the file's own first frame is
        ``first_frame - handles[0]``, and so is its start timecode.
    handles : (int, int)
        Extra frames before and after the cue.
    timebase : Timebase
        Of the episode.
    stage : Stage
        Where it plays.
    content : object
        The kind's frozen content: plain data, picklable, comparable.
    figures : tuple of (str, str)
        (figure, entry) of every figure shown.
    description : str
        What the overlay shows, in words.
    """

    cue: str
    kind: str
    beat: str
    file: str
    first_frame: int
    handles: tuple[int, int]
    timebase: Timebase
    stage: Stage
    content: Any = field(compare=False)
    figures: tuple[tuple[str, str], ...]
    description: str

    @property
    def frames(self) -> int:
        """Frames in the file, handles included."""
        return self.handles[0] + self.stage.frames + self.handles[1]

    @property
    def file_first_frame(self) -> int:
        """The file's first frame on the episode's timeline."""
        return self.first_frame - self.handles[0]

    @property
    def full_frame(self) -> int:
        """The last frame of the file on which the overlay stands complete within its cue."""
        return self.handles[0] + self.stage.standing - 1

    def overlay_frame(self, index: int) -> int:
        """Return the overlay frame that the file's frame `index` shows; -1 is before the cue."""
        return min(max(index - self.handles[0], -1), self.stage.frames - 1)
