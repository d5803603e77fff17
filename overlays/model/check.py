"""What is checked of an episode, by name: the names that waivers and findings use."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

__all__ = ["CHECKS"]

CHECKS: Mapping[str, str] = MappingProxyType(
    {
        "alpha": "Alpha is present and straight.",
        "colour-vision": "Entry colours differ for every kind of colour vision.",
        "contrast": "Text stands out from what is behind it.",
        "curves": "Curves in the file lie where the data says.",
        "decode-back": "The file decodes to the frames that were drawn.",
        "ends": "The first frame is empty and the last holds the final state.",
        "flashing": "Flashes stay within the general and red flash limits.",
        "levels": "Code values stay within the preferred video range.",
        "numbers": "Numbers on screen agree with the data and with each other.",
        "overlap": "Overlays on screen together do not cover each other.",
        "pace": "What an overlay shows comes no faster than it can be followed.",
        "reading-time": "Words stay on screen long enough to be read.",
        "safe-area": "Nothing lies outside the safe area.",
        "text-size": "No text is smaller than the floor for the canvas.",
    }
)
