"""outline.md → beats and cues; timing; spoken numbers."""
