"""Reads styles/; palette, type, safe areas."""
