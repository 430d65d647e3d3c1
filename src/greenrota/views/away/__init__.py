"""Days away, and the note for a visitor."""
