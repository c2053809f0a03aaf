"""What a note asks."""
