"""Trace → Trace: units, zero, trigger, resample, smooth; repeats → median run."""
