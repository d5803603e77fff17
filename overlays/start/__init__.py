"""A first session out of a folder of logs."""
