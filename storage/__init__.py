"""What is kept: messages, entries, people and snapshots, through SQLModel."""
