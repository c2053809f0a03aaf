"""The keeper's other work: live foods, gear, peat, tanks set up and taken down."""

from bot.language.telling import Frame
from bot.language.tending.cultures import sees_culture, tell_culture
from bot.language.tending.gear import sees_service, tell_service
from bot.language.tending.peat import sees_peat, tell_peat
from bot.language.tending.tanks import sees_close, sees_done, sees_new, tell_close, tell_done, tell_new

__all__ = ["FRAMES"]

FRAMES = [
    Frame("done", sees_done, tell_done),
    Frame("culture", sees_culture, tell_culture),
    Frame("peat", sees_peat, tell_peat),
    Frame("new_place", sees_new, tell_new),
    Frame("close_place", sees_close, tell_close),
    Frame("service", sees_service, tell_service),
]
