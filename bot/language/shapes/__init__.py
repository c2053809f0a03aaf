"""Short clauses understood to the last word by the shape of what their words are."""
