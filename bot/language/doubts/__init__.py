"""What is asked before it is believed."""
