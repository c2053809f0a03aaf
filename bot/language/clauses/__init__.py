"""Sentences cut into clauses, and clauses gathered that tell of one thing."""
