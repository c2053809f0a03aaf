"""What did not happen in this room and stays out of its record."""
