"""What is said without being asked: the nightly and weekly message, reminders, notices, the calendar."""
