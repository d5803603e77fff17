"""session.toml and runs.csv → model."""
