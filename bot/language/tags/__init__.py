"""Marks every stretch of a note with what it is: a place, a batch, a number with its unit, a day, a cue."""

from bot.language.tags.tag import Tag
from bot.language.tags.tagger import Tagger

__all__ = ["Tag", "Tagger"]
