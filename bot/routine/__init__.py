"""The routine and the day's chores by chat: what is due, ticked off, put off, handed over, changed and shown."""
