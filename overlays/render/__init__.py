"""Frames, encoders, workers, cache."""
