"""Numbers as people say them: read, written, and held against the data."""
