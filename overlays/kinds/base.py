"""What an overlay kind is, and how to write one.

A kind is one file in this folder with one subclass of `Overlay`. Its dataclass fields are the
options of a ``cue`` block in the outline; field docs come from the class docstring's *Parameters*.
Nothing else is to be registered: files are found by looking. Where an overlay stands, whether it
leaves, and reduced motion are asked of every kind and done to its scene as a whole
(`overlays.kinds.staging`): a kind lays its panel where it would stand by itself, comes and stands.

An option's type is checked by pydantic; keys of the session that options name are given by `names`.
Three steps, each pure::

    options  ── content(results) ──▶  content: frozen plain data, every figure resolved
    content  ── lay_out(content, stage, style) ──▶  scene: patches drawn, layers by frame
    scene    ── layers(n) ──▶  the frame

``content`` is what the cache, the description and the checks see; ``lay_out`` runs in a worker.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import ClassVar, Generic, TypeVar, get_args

from pydantic import ConfigDict

from overlays.draw.patch import Scene
from overlays.model.clip import Place, Stage
from overlays.model.result import Results
from overlays.style.house import Style

__all__ = ["Content", "Overlay"]


@dataclass(frozen=True, slots=True)
class Content:
    """Base of every kind's content.

    Parameters
    ----------
    figures : tuple of (str, str)
        (figure, entry) of every figure shown.
    runs : tuple of str
        Log files whose samples are shown.
    """

    figures: tuple[tuple[str, str], ...]
    runs: tuple[str, ...]

    @property
    def set_figures(self) -> tuple[tuple[str, str], ...]:
        """Those of `figures` whose numbers are set; a kind may show others by what they earned."""
        return self.figures

    @property
    def values(self) -> tuple[str, ...]:
        """Numbers of the last frame that come from traces, as `overlays.numbers.fixed` writes them.

        The checks look for each in the picture, as they do for `figures`.
        """
        return ()

    @property
    def sums(self) -> tuple[tuple[tuple[str, ...], str], ...]:
        """Numbers shown that add up, and their total, all as `overlays.numbers.fixed` writes them.

        The checks add them up, and look for each in the picture.
        """
        return ()


C = TypeVar("C", bound=Content)


@dataclass(frozen=True, kw_only=True)
class Overlay(ABC, Generic[C]):
    """One overlay called for by a cue; subclass this, see the module's docstring.

    Parameters
    ----------
    place : str
        Where it stands in the safe area: head-left, head, head-right, left, middle, right,
        foot-left, foot or foot-right; where it is left out, the kind's own place.
    leave : bool
        Whether it leaves before the cue ends, data first and then the panel, so that the tail
        handle is empty; else it stands on.

    Attributes
    ----------
    kind : str
        What a cue calls it.
    places : tuple of str
        Those of the places it can take; fewer where it fills a canvas from side to side.
    """

    kind: ClassVar[str]
    places: ClassVar[tuple[Place, ...]] = get_args(Place)
    # pydantic checks options against the fields, and refuses any that is none.
    __pydantic_config__: ClassVar[ConfigDict] = ConfigDict(extra="forbid")

    place: Place | None = None
    leave: bool = False

    def names(self) -> Iterable[tuple[str, Sequence[str], str]]:
        """Return what the options name: (option, keys, table of session.toml) each.

        `overlays.kinds.registry.build` looks them up, and tells a misspelt one with its line.
        """
        return ()

    @abstractmethod
    def content(self, results: Results) -> C:
        """Resolve what the options ask for.

        Raises
        ------
        OutlineError
            If they name an entry, test or figure that is not there, with ``field`` the option.
        """

    @classmethod
    @abstractmethod
    def lay_out(cls, content: C, stage: Stage, style: Style) -> Scene:
        """Draw the patches for a canvas and say where they lie at each frame.

        The whole of `stage.frames` is for coming and standing. A scene may have ``exits``: "right"
        where the right end of what lies on the panel is to be seen at last when it leaves; and
        ``stops``: frames whose states matter though nothing holds them, for reduced motion. One
        that goes along a run is a `CurveScene` or a `ReadingScene`, which keep going then.
        """

    @classmethod
    @abstractmethod
    def describe(cls, content: C) -> str:
        """Say in a sentence or two what the overlay shows, values included."""

    @classmethod
    def check_length(cls, content: C, stage: Stage) -> None:
        """Raise `OutlineError` if what is shown cannot be shown in the cue's length."""
        del content, stage

    @classmethod
    def frame_at(cls, content: C, stage: Stage, style: Style, run_s: float) -> int:
        """Return the frame of the cue that shows a time of the run; 0 where none is drawn."""
        del content, stage, style, run_s
        return 0

    @classmethod
    def in_step(cls, content: C) -> tuple[str, ...]:
        """Return the log files of the runs whose time `frame_at` tells; none by default."""
        del content
        return ()

    @classmethod
    def natural_s(cls, content: C) -> float:
        """Return the length in seconds that a cue without one would want."""
        del content
        return 6.0
