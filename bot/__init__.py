"""What is said: reading notes, answering, and the doors people speak through."""
