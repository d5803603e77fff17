"""How numbers are taken from one run: functions from a declared figure and a run to a value."""
