"""The local web page."""
