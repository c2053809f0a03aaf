"""Water and food: changed, topped off, dosed, measured, fed; which go by the same lists of places."""

from bot.language.telling import Frame
from bot.language.water.changes import sees_topoff, sees_wc, tell_topoff, tell_wc
from bot.language.water.doses import sees_dose, tell_dose
from bot.language.water.feeding import sees_feed, tell_feed
from bot.language.water.measures import fits, sees_measure, tell_measure

__all__ = ["FRAMES", "fits", "tell_measure"]

FRAMES = [
    Frame("measure", sees_measure, tell_measure),
    Frame("top_off", sees_topoff, tell_topoff),
    Frame("water_change", sees_wc, tell_wc),
    Frame("dose", sees_dose, tell_dose),
    Frame("feed", sees_feed, tell_feed),
]
