"""Days and clock times: found in the words, kept as data, and set against the time a note was sent."""
