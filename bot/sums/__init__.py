"""Sums a keeper asks for, each with its basis."""
