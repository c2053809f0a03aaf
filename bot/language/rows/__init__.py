"""Lists and short hand: clauses that are a place, a number and a word for what was done, in an order that is known."""

from bot.language.rows.reading import read

__all__ = ["read"]
