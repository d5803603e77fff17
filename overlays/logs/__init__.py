"""One reader per log layout, found by looking at the content."""
