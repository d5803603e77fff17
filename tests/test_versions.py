"""What made a result."""

from __future__ import annotations

from overlays.versions import source_digest


def test_the_digest_is_of_what_is_named() -> None:
    """Other places are another digest, the same places the same; folders are read whole."""
    assert source_digest("units.py") == source_digest("units.py")
    assert source_digest("units.py") != source_digest("numbers.py")
    assert source_digest("logs") != source_digest("logs", "units.py")
    assert len(source_digest("logs")) == 64
