"""Claims about the program, each checked."""
