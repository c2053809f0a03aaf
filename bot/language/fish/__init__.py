"""Fish: found dead, counted, moved."""

from bot.language.fish.counts import sees_count, tell_count
from bot.language.fish.deaths import sees_death, tell_death
from bot.language.fish.moves import sees_move, tell_move
from bot.language.telling import Frame

__all__ = ["FRAMES"]

FRAMES = [
    Frame("death", sees_death, tell_death),
    Frame("headcount", sees_count, tell_count),
    Frame("move", sees_move, tell_move),
]
