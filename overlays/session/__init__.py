"""session.toml and runs.csv → model; scaffolding of a new session."""
