"""Timeline, captions, chapters, review sheet, manifest."""
