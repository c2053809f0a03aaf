"""The words of a note as written: their letters, sounds and slips, numbers, and the names they may be."""
