"""What is due in the room and why."""
