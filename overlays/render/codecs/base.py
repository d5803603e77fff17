"""What a codec is to the renderer.

A codec turns frames, each with the rectangles in which it differs from the one before, into a file.
Files are written to the path that is given; making them appear whole is the caller's business.

`cut_frames` says where a clip may be cut into parts that different processes write: at every
multiple of it. Parts joined give the same bytes as a clip written in one go.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import ClassVar, Protocol

from overlays.draw.patch import Pixels, Rect
from overlays.model.clip import Clip

__all__ = ["Codec", "FileSpec", "Writer"]


@dataclass(frozen=True, slots=True)
class FileSpec:
    """What a file says about itself.

    Parameters
    ----------
    width, height : int
        In pixels.
    rate : Fraction
        Frames per second.
    timecode : str
        Label of the first frame; ``;`` before the frames in drop-frame.
    """

    width: int
    height: int
    rate: Fraction
    timecode: str

    @classmethod
    def of(cls, clip: Clip) -> FileSpec:
        """Return what the file of a clip says.

        Raises
        ------
        TimecodeError
            If the clip's first frame has no timecode.
        """
        stage = clip.stage
        label = clip.timebase.label(clip.file_first_frame)
        return cls(stage.width, stage.height, stage.rate, label)


class Writer(Protocol):
    """An open file that takes frames in order."""

    def add(self, pixels: Pixels, changed: Sequence[Rect]) -> None:
        """Take the next frame: straight RGBA, and where it differs from the one before."""
        ...

    def finish(self) -> None:
        """Write what is still owed and close the file."""
        ...

    def abandon(self) -> None:
        """Close the file as it is; it is of no use then."""
        ...


class Codec(ABC):
    """A way of writing clips with straight alpha."""

    name: ClassVar[str]
    cut_frames: ClassVar[int]
    """A clip may be cut at multiples of this many frames."""

    @abstractmethod
    def open(self, target: Path, spec: FileSpec, *, first: int = 0) -> Writer:
        """Open a file for frames, the first of which is frame `first` of the clip."""

    @abstractmethod
    def join(self, parts: Sequence[Path], target: Path, spec: FileSpec) -> None:
        """Copy the frames of files written by this codec, one after the other, into a new file.

        With one part this is a copy with another start timecode.
        """
