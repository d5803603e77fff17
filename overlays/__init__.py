"""Turns test-bench run traces and scores into transparent video overlays cut to a script."""

__all__ = ["__version__"]

__version__ = "0.1.0"
