"""Eggs: pulled from a mop, picked out bad, eyed up, hatched; mops put in."""

from bot.language.eggs.hatching import sees_bad, sees_eyed, sees_hatch, tell_bad, tell_eyed, tell_hatch
from bot.language.eggs.mops import sees_mop, tell_mop
from bot.language.eggs.pull_signs import sees_pull
from bot.language.eggs.pulls import tell_pull
from bot.language.eggs.sharing import split_up
from bot.language.eggs.where import breeders, egg_places, left_in
from bot.language.telling import Frame

__all__ = ["FRAMES", "breeders", "egg_places", "left_in", "split_up"]

FRAMES = [
    Frame("bad_eggs", sees_bad, tell_bad),
    Frame("eyed", sees_eyed, tell_eyed),
    Frame("hatch", sees_hatch, tell_hatch),
    Frame("mop", sees_mop, tell_mop),
    Frame("pull", sees_pull, tell_pull),
]
