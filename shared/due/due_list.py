"""What is due in the room and why: the round through places and batches, live foods, promises and reminders.

A chore's slot is met by what was done from two hours before it on; of slots gone by only the newest counts, and
nothing is due from before the fish stood there or before the rule was made. What comes round by days is due the
morning its days are up. Usual figures stand in `shared.due.usual`: common practice, no source.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from zoneinfo import ZoneInfo

from shared.due.appointments import peat_to_wet, promises, put_off_in_words, reminders
from shared.due.courses import doses
from shared.due.few_left import few_left
from shared.due.house_rules import Routine
from shared.due.live_foods import brine_shrimp, cultures
from shared.due.rounds import Round, in_walking_order
from shared.due.stops import Stop
from shared.due.suggestions import suggest
from shared.due.tasks import DueTask, HatchWindow
from shared.due.timetable import Clock
from shared.due.water_ahead import water_to_draw
from shared.ledger.standing import Standing


def due(
    standing: Standing,
    now: dt.datetime,
    zone: ZoneInfo,
    *,
    days: int = 1,
    windows: Mapping[str, HatchWindow] | None = None,
    for_person: str | None = None,
) -> list[DueTask]:
    """What is due now and until the end of the day (`days` 1) or of the next `days` days, in walking order.

    `now` is aware. `windows`: by batch, between when fry are expected; while one is open its eggs are looked at in the
    evening too, and first of all. `for_person` leaves out what the routine gives to somebody else.
    Raises ValueError when `now` has no zone or `days` is below 1.
    """
    if now.tzinfo is None:
        raise ValueError("now must have a time zone")
    if days < 1:
        raise ValueError(f"days must be 1 or more, not {days}")
    clock = Clock(now.astimezone(dt.UTC), zone, days)
    routine = Routine.of(standing, for_person=for_person)
    round_ = Round(standing, routine, clock, dict(windows or {}))
    for place, held in round_.at_place.items():
        kept = standing.places.get(place)
        if kept and kept.closed:
            continue
        stop = Stop(round_, place, kept, held)
        stop.chores()
        if place:
            suggest(stop)
    water_to_draw(round_)
    few_left(round_)
    brine_shrimp(round_)
    cultures(round_)
    promises(round_)
    doses(round_)
    reminders(round_)
    peat_to_wet(round_)
    put_off_in_words(round_)
    return in_walking_order(round_)


def own_reminders(standing: Standing, now: dt.datetime, zone: ZoneInfo, days: int = 400) -> list[DueTask]:
    """The keeper's own reminders that wait or come within `days`, and what was put off in words; `now` is aware."""
    round_ = Round(standing, Routine.of(standing), Clock(now.astimezone(dt.UTC), zone, days))
    reminders(round_)
    put_off_in_words(round_)
    return in_walking_order(round_)
