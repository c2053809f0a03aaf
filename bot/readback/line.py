"""One event read back in one line (two for fresh eggs)."""

from __future__ import annotations

import datetime as dt

from bot import sentences as say
from bot.readback import eggs_and_fish, tending, the_room, trade
from bot.readback.told import Booked, Told
from shared.events import Corrected, Undone
from shared.ledger.standing import Standing
from storage.engine import RoomInfo


def line_for(booked: Booked, standing: Standing, info: RoomInfo, now: dt.datetime) -> str:
    """The line, with the moment where that is more than an hour from `now`."""
    told = Told(booked, standing, info, now)
    when = ""
    if told.entry and abs((now - told.entry.at).total_seconds()) > 3600:
        when = f" ({say.moment(told.entry.at, info.zone, now)})"
    text = _text(told)
    return f"{text}{when}." if not text.endswith((".", "!", "?")) else text


def _text(told: Told) -> str:
    event = told.booked.event
    if isinstance(event, Undone | Corrected):
        return "taken back"
    if isinstance(event, eggs_and_fish.EggsOrFish):
        return eggs_and_fish.text(event, told)
    if isinstance(event, trade.Trade):
        return trade.text(event, told)
    if isinstance(event, tending.Tending):
        return tending.text(event, told)
    return the_room.text(event, told)
