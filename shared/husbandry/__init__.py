"""Sums of keeping fish: water, doses, foods, growth, room and survival, each with its source."""
