"""Charts, and what is printed: labels and the breeding record."""
