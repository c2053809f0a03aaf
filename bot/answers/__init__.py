"""Answers from the record: how it stands, what has been, what is to come."""
