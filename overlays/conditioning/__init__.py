"""Trace → trace: units, spikes, gaps, zero, trigger, filters; repeats → median run."""
