"""What the interpreter tells its audit hooks, understood."""

from __future__ import annotations

import os

__all__ = ["opened_to_write"]


def opened_to_write(args: tuple[object, ...]) -> bool:
    """Say whether the arguments of an event ``open`` ask for a file to be written."""
    mode, flags = args[1], args[2]
    if isinstance(mode, str):
        return any(sign in mode for sign in "wax+")
    return isinstance(flags, int) and bool(flags & (os.O_WRONLY | os.O_RDWR | os.O_CREAT))
