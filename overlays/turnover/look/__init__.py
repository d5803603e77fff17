"""A look at every run: what is seen, how it is drawn, on paper and as a page."""
