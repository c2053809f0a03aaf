"""Sums asked by chat, against values worked out beside each question."""
