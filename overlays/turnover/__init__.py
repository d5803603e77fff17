"""Timeline, edit lists, captions, chapters, review page, manifest."""
