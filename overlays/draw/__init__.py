"""A figure canvas: patches drawn once by matplotlib, placed frame by frame. Knows no kind."""
