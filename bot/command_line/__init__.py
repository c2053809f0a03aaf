"""What stands behind the words of the command line."""
