"""Overlay kinds: one file each, discovered."""
