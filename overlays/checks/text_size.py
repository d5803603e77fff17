"""Whether text is large enough to be read on a screen across the room.

British television asks that small print be 30 lines high at 1080 lines, or 26 on an opaque block
(BCAP rules, quoted by Clearcast, "Legal supers: text size"). Lines are counted as the text occupies
them: from its highest to its lowest stroke. Other canvases are scaled by their shorter side, our
own choice. The style's own floor may ask for more.
"""

from __future__ import annotations

from overlays.checks.findings import Finding

__all__ = ["judge_text_size", "least_text_px"]

_LINES_AT_1080 = 30
_LINES_AT_1080_ON_BLOCK = 26


def least_text_px(width: int, height: int, *, on_block: bool) -> float:
    """Return the least height of text on a canvas, in pixels.

    Parameters
    ----------
    width, height : int
        The canvas in pixels.
    on_block : bool
        Whether it stands on an opaque panel.

    Examples
    --------
    >>> least_text_px(1920, 1080, on_block=False), least_text_px(2160, 3840, on_block=True)
    (30.0, 52.0)
    """
    lines = _LINES_AT_1080_ON_BLOCK if on_block else _LINES_AT_1080
    return lines * min(width, height) / 1080


def judge_text_size(
    name: str, *, height_px: float, canvas: tuple[int, int], on_block: bool
) -> Finding:
    """Judge the height of one text.

    Parameters
    ----------
    name : str
        What the text is, for the message.
    height_px : float
        From the top of its ascenders to the bottom of its descenders.
    canvas : (int, int)
        Width and height in pixels.
    on_block : bool
        Whether it stands on an opaque panel.
    """
    least = least_text_px(*canvas, on_block=on_block)
    message = (
        f"{name} is {height_px:g} px high; expected {least:g} or more at {canvas[0]}x{canvas[1]}"
        f"{' on a panel' if on_block else ''}."
    )
    # Type is set in whole pixels.
    if height_px > least - 1:
        return Finding("text-size", "pass", message)
    return Finding("text-size", "fail", message, "Set it larger, or show less.")
