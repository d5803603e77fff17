"""Settings for the whole suite."""

from __future__ import annotations

import os

from hypothesis import settings

# No test is timed: a busy machine is no fault of the code.
settings.register_profile("untimed", deadline=None, print_blob=True)
settings.load_profile("untimed")

# Tests neither profit from what a user's cache holds nor leave anything in it.
os.environ["TRACEREEL_CACHE"] = ""
