"""A trip said, and who does the room meanwhile: the list of what is to be done before and on its days."""

from __future__ import annotations

import datetime as dt
import re

from bot import sentences as say
from bot.routine.resting import CAN_WAIT
from bot.routine.taken import Scene, Taken
from bot.routine.trips import LONGEST, trip_list
from bot.routine.words import Days
from shared.events import RoutineSet
from shared.ledger.standing import Standing
from storage.journal import RoomBook

_TRIP = re.compile(
    r"^(?:i'm |i am |we're |we are |i'll be |we'll be )?(?:away|gone|out of town|on holiday|on vacation|traveling) "
    r"(?P<days>.+?)(?:(?:\s*[,:;.]\s*|\s+)(?:and )?"
    r"(?:(?P<who>[^\W\d_]+) (?:(?:does|do|minds|looks after|takes|has|handles)"
    r" (?:it|it all|everything|the room|that|the fish)|(?:is |will be )?(?:covers?|covering|(?:fill|step)(?:s|ing)? in)"
    r"(?: for (?:me|us)| it| everything| the room)?)|(?:a )?list for (?P<list>[^\W\d_]+)))?$"
)
_LIST = re.compile(r"^(?:the |a |trip )?list for (?P<who>[^\W\d_]+)$|^(?:the )?trip list$")


_HOLIDAY = re.compile(r"^(?:(?:my |our |going on )?(?:holidays?|vacation)|(?:going|we go|i go) away)\b.{2,}$")
HOW_TO_GO = (
    "For a trip say the days and who does it: “away 16th to 19th, Ivo does it”. Then comes the list. Nothing was set."
)


def trip_order(text: str, scene: Scene, book: RoomBook) -> Taken | None:
    """A trip taken down with its list, or the list of the last one again."""
    if hit := _LIST.match(text):
        return _list_again(hit["who"], scene, book)
    hit = _TRIP.match(text)
    if hit is None and _HOLIDAY.match(text):
        return Taken(answer=HOW_TO_GO)
    days = scene.words.days(hit["days"]) if hit else None
    if not hit or days is None or days.first < scene.now.date():
        return None
    if (days.last - days.first).days >= LONGEST:
        return Taken(answer=f"That is more than {LONGEST} days, too long for one list; say it in parts.")
    person = _who(hit["who"] or hit["list"], scene)
    keys = days.keys() | ({"person": person} if person else {})
    text = trip_list(_before_trips(scene.standing), book, days.first, days.last, person=person)
    known = [kept.event for kept in scene.standing.settings]
    away = RoutineSet(what="away", **keys)
    if away in known:
        return Taken(answer=text)
    events = [away, *(RoutineSet(what="off", value=t, **days.keys()) for t in CAN_WAIT)]
    if person:
        events.append(RoutineSet(what="who", value="all", **keys))
    more = () if person else ("Say it with who does it, and it is put down as theirs.",)
    return Taken(tuple(events), (text, *more))


def _list_again(named: str | None, scene: Scene, book: RoomBook) -> Taken | None:
    """The list of the trip said last, as it was made: without what the trip itself changed."""
    trips = [
        (kept.event, days)
        for kept in scene.standing.settings
        if isinstance(kept.event, RoutineSet) and kept.event.what == "away" and (days := _span(kept.event))
        if days.last >= scene.now.date()
    ]
    person = _who(named, scene) if named else None
    if not trips:
        return (
            Taken(answer="No trip is put down; say “away 12th to 15th, Ivo does it”, for instance.")
            if named is None or (person in scene.words.names.people)
            else None
        )
    event, days = trips[-1]
    return Taken(
        answer=trip_list(_before_trips(scene.standing), book, days.first, days.last, person=person or event.person)
    )


def _before_trips(standing: Standing) -> Standing:
    """The room without what its trips leave out, or there would be nothing to do before them."""
    events = [k.event for k in standing.settings if isinstance(k.event, RoutineSet)]
    trips = {(e.from_, e.to) for e in events if e.what == "away"}
    kept = [
        k for k in standing.settings if (getattr(k.event, "from_", None), getattr(k.event, "to", None)) not in trips
    ]
    return standing.model_copy(update={"settings": kept})


def _span(event: RoutineSet) -> Days | None:
    try:
        return Days(dt.date.fromisoformat(event.from_ or ""), dt.date.fromisoformat(event.to or ""))
    except ValueError:
        return None


def _who(said: str | None, scene: Scene) -> str | None:
    if said is None:
        return None
    return scene.words.person(said) or say.first_up(said)
