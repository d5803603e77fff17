"""Frozen nouns that every layer speaks in. No reading, no arithmetic, no drawing."""
