"""Camera files of a session, and where a run lies in them."""

from __future__ import annotations

from pydantic import Field

from overlays.model.spec import LONGEST_TEXT, ShownText, Spec, TimeField

__all__ = ["FootageSpec"]


class FootageSpec(Spec):
    """A table ``[[footage]]``, as the command `sync` prints it."""

    file: str = Field(max_length=LONGEST_TEXT)
    """The camera file, inside the session's folder, such as "footage/camera.mp4"."""
    run: ShownText
    """The run it shows: entry, test and repeat, such as "alder cold 2"."""
    starts: TimeField
    """Time of the run's zero, counted from the file's first picture."""
