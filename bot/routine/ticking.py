"""“Done”: which tasks it ticks off and where, said back; what was done already is said and not put down twice."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence
from typing import Any

from bot import sentences as say
from bot.language import Reader
from bot.routine.chore_list import WITH_WATER, in_a_row
from bot.routine.chore_words import CHORE, CHORE_WORDS, SAME_SLOT, SLOT
from bot.routine.chores import due_list, zone_of
from bot.routine.putting_off import choices, groups, waiting
from bot.routine.shown import chores
from bot.routine.taken import HOURS, Scene, Taken
from bot.talk.questions import Asked
from shared.due.house_rules import Routine
from shared.due.rounds import Round
from shared.due.stops import in_peat
from shared.due.tasks import TWO_HOURS, DueTask, same_thing, tasks_said, telling_words
from shared.due.timetable import Clock
from shared.events import Dosed, Event, TaskDone
from shared.ledger.standing import Standing
from storage.journal import Message, RoomBook

MOST_WORDS = 10
WHAT_IS_DONE = (ALL_DONE, WHICH_DONE) = ("All of it done?", "Which is done?")
SAME_DOING = dt.timedelta(hours=3)  # what was done so lately is what is said again; house rule, no source
_DONE = re.compile(
    r"^(?:(?:it's |its |that's |that is |it is )?(?P<all>all )?(?:done|finished|sorted|seen to)"
    r"(?: (?:it|that|them|those))?"
    r"|did (?P<did>all of )?(?:it|that|them|those|this)(?P<too> all)?|(?:did|done) (?P<every>everything|the lot|all))"
    r"(?: (?:now|already|thanks))?$"
)


_CHORE_DONE = re.compile(
    rf"^(?:all )?(?:the |my )?(?P<before>{CHORE}) (?:are |is )?(?:all )?(?:done|finished|sorted)$"
    rf"|^(?:did|done|done with|finished) (?:all )?(?:the |my )?(?P<after>{CHORE})$"
)


_SLOT_DONE = re.compile(
    rf"^(?:all )?(?:the |my )?(?P<slot>{SLOT}) (?P<chore>{CHORE}) (?:are |is |was )?(?:all )?(?:done|finished|sorted)$"
    rf"|^(?:i )?(?:did|done|done with|finished) (?:the |my )?(?P<part>{SLOT}) (?P<did>{CHORE})$"
)
_DONE_AT = re.compile(
    rf"^(?:all )?(?:the |my )?(?P<before>{CHORE}) (?:in |of |for )?(?!all |are |is )(?P<in>.+?) "
    rf"(?:are |is )?(?:all )?(?:done|finished)$"
    rf"|^(?:did|done with|finished) (?:all )?(?:the |my )?(?P<after>{CHORE}) (?:in|of|for) (?P<at>.+)$"
)
_BUT = r",? (?:but not|except|all but|but|apart from|not)(?: for| in)? (?:the )?"
_DONE_BUT = re.compile(
    rf"^(?:all (?:of )?)?(?:the |my )?(?P<what>.+?) (?:is |are |was |were )?(?:all )?(?:done|finished)"
    rf"{_BUT}(?P<but>.+)$"
    rf"|^(?:i )?(?:did|done with|done|finished with|finished) (?:all (?:of )?)?(?:the |my )?(?P<did>.+?)"
    rf"{_BUT}(?P<save>.+)$"
)
_PLACES_DONE = re.compile(
    r"^(?:i )?(?:did|done(?: with)?|finished(?: with)?) (?:tubs? )?(?P<where>[\w ,&-]{1,40}?)"
    r"(?:,? (?:with )?(?P<n>\d{1,2}) drops?(?: of peroxide)?(?: each| in each| apiece)?)?$"
)
_TUBS = ("egg_water", "check_hatch", "pick_eggs", "fry_water")  # what is done at tubs, feeding apart


_NOT_DONE = re.compile(
    rf"^(?:the |my )?(?P<before>{CHORE})(?: (?:in |of |for )?(?P<in>.+?))? (?:are |is )?not (?:all )?(?:yet )?done"
    rf"(?: yet)?$|^(?:did not|didn't|have not|haven't) (?:do|done|did) (?:the |my )?(?P<after>{CHORE})"
    r"(?: (?:in|of|for) (?P<at>.+))?$"
)


_LOOKED = re.compile(
    r"^(?:i )?(?:looked|peeked|peered|had a look|checked)(?: (?:at|in|into|on|over))? (?:the )?(?:peat (?:of|in|for) )?"
    r"(?P<where>.+?)(?:[,;:]|\.| -)?(?: (?:but )?(?P<found>(?:still )?(?:nothing|no fry|none|no change|no hatch(?:es)?|"
    r"not)(?: yet| there| new)*|all (?:well|good|fine)|looks? (?:good|fine|well)))?$"
)


def looked_order(text: str, scene: Scene) -> Taken | None:
    """A look at eggs where nothing was found: it counts as the look that was due."""
    hit = _LOOKED.match(text)
    where = scene.words.where(hit["where"]) if hit else None
    if where is None or where.line or where.room or where.places[:1] == ("all tubs",):
        return None
    standing = scene.standing
    if where.batch:
        held = [h for h in standing.of_group(where.batch) if h.stage == "eggs"]
        task = "look_at_peat" if any(in_peat(standing, h) for h in held) else "check_hatch"
        return Taken((TaskDone(task=task, batch=where.batch),)) if held else None
    if not all(p in standing.places and standing.eggs_at(p) for p in where.places):
        return None
    return Taken((TaskDone(task="check_hatch", places=where.places),))


_BARREL = r"(?:water|barrels?|drums?|bins?|reservoirs?|cans)"
_DRAWN = re.compile(
    rf"^(?:i |we )?(?:drew|drawn|filled|refilled|topped up) (?:the |some |our |tomorrow's )?(?:aged |aging |new )?"
    rf"{_BARREL}(?: (?:for|to stand) .{{1,30}}| tonight)?$"
    rf"|^(?:the |tomorrow's )?(?:aged |aging |new )?{_BARREL}(?: for tomorrow)? (?:is |are )?"
    r"(?:drawn|filled|standing|ready|done)(?: for tomorrow)?$"
)


def drawn_order(text: str) -> Taken | None:
    """Water drawn to stand overnight."""
    return Taken((TaskDone(task="draw_water"),)) if _DRAWN.match(text) else None


def reminded_order(text: str, scene: Scene, book: RoomBook, reader: Reader) -> Taken | None:
    """“Bagged the gularis” after “to remember: bag the gularis”: the reminder that waits, said as done.

    Only where the note says nothing else to the reader, and every word of it is the reminder's.
    """
    said = telling_words(text)
    if not len(said) > 1 or len(text.split()) > MOST_WORDS or not scene.standing.reminders:
        return None
    told = reader.read(text, scene.now)
    if told.query or any(e.kind != "remark" for e in told.events):
        return None  # before the list is made, which takes far longer
    ready = [t for t in due_list(scene.standing, book, scene.now) if t.text and t.due <= scene.now + TWO_HOURS]
    mine = [t for t in ready if said == telling_words(t.text or "")]
    if len(mine) != 1:
        return None
    return Taken(tuple(TaskDone.model_validate(raw) for raw in doings(mine)))


def done_order(text: str, scene: Scene, book: RoomBook, message: Message, reader: Reader) -> Taken | None:
    """A “done” that names nothing: what was listed or reminded of last; of several things it is asked which."""
    if chore := _CHORE_DONE.match(text):
        return _chore_done(chore["before"] or chore["after"], scene, book)
    if hit := _NOT_DONE.match(text):
        return _not_done(hit, scene)
    if hit := _SLOT_DONE.match(text):
        return _slot_done(hit["slot"] or hit["part"], hit["chore"] or hit["did"], scene, book)
    if hit := _DONE_BUT.match(text):
        return _done_but(hit["what"] or hit["did"], hit["but"] or hit["save"], scene, book)
    if hit := _DONE_AT.match(text):
        return _done_at(hit, scene, book)
    if (hit := _PLACES_DONE.match(text)) and (tubs := _tubs_done(hit, scene, book)):
        return tubs
    hit = _DONE.match(text)
    if not hit:
        return None
    hand = waiting(book, scene, message, reader)
    if not hand.tasks:
        return None
    return ticked_off(hand.tasks, scene.now, bare=hand.all_there_is, everything=any(hit.groupdict().values()))


def _chore_done(words: str, scene: Scene, book: RoomBook) -> Taken | None:
    """A chore by its name without a place: wherever it is due now; None where it is due nowhere."""
    tasks = [t for t in _ready(scene, book) if t.task in CHORE_WORDS[words] and not t.text]
    return Taken(tuple(TaskDone.model_validate(raw) for raw in doings(tasks))) if tasks else None


def _slot_done(slot: str, words: str, scene: Scene, book: RoomBook) -> Taken:
    """“Noon feed done”: what that chore has at noon, and nothing that waits since the morning."""
    first, last = HOURS[SAME_SLOT.get(slot, slot)]
    ready = [t for t in _ready(scene, book) if t.task in CHORE_WORDS[words] and not t.text]
    tasks = [t for t in ready if t.due.date() == scene.now.date() and first <= t.due.hour < last]
    if not tasks:
        return Taken(answer=f"Nothing waits of the {slot} {words}; nothing was put down.")
    at = max(t.due for t in tasks)  # said hours later it still is the morning's, and noon's is due
    late = scene.now - at > TWO_HOURS
    return Taken(tuple(TaskDone.model_validate(raw) for raw in doings(tasks)), at=at if late else None)


def _ready(scene: Scene, book: RoomBook) -> list[DueTask]:
    return [t for t in due_list(scene.standing, book, scene.now) if t.due <= scene.now + TWO_HOURS]


def _done_at(hit: re.Match[str], scene: Scene, book: RoomBook) -> Taken | None:
    """A chore done in some places; None where the words name no places."""
    at = scene.words.where(hit["in"] or hit["at"])
    if at is None or not at.places:
        return None
    words = hit["before"] or hit["after"]
    tasks = [t for t in _ready(scene, book) if t.task in CHORE_WORDS[words] and not t.text and t.place in at.places]
    if tasks:
        return Taken(tuple(TaskDone.model_validate(raw) for raw in doings(tasks)))
    return Taken((TaskDone(task=CHORE_WORDS[words][0], places=at.places),))


def _tubs_done(hit: re.Match[str], scene: Scene, book: RoomBook) -> Taken | None:
    """“Done A, B and C, 4 drops each”: what was due in these tubs, and drops in each of them."""
    words = re.sub(r"(?<=\b[a-z]) (?=[a-z]\b)", ", ", hit["where"])
    where = scene.words.where(words if words.startswith("tub") else f"tubs {words}")
    kinds = {name: place.kind for name, place in scene.standing.places.items()}
    if where is None or len(where.places) < 2 or any(kinds.get(p, "tank") == "tank" for p in where.places):
        return None
    ready = [t for t in _ready(scene, book) if t.place in where.places and t.task in _TUBS and not t.text]
    events: list[Event] = [TaskDone.model_validate(raw) for raw in doings(ready)]
    if hit["n"]:
        events.append(Dosed(places=where.places, substance="peroxide", amount=float(hit["n"]), unit="drop"))
    return Taken(tuple(events)) if ready else None


def _done_but(what: str, but: str, scene: Scene, book: RoomBook) -> Taken | None:
    """“Tubs done except C”: what was due of it but there; never what is named as left. None where it is no chore."""
    ready = [t for t in _ready(scene, book) if not t.text or what in ("all", "everything", "it", "the lot")]
    meant = _of(what, ready, scene)
    if meant is None:
        return None
    where = scene.words.where(but)
    spared = where.places if where and not where.room else ()
    tasks = CHORE_WORDS.get(but, ()) if not spared else ()
    if not spared and not tasks:
        return Taken(answer=f"All but what? I did not understand “{but}”; nothing was put down.")
    done = [t for t in meant if t.place not in spared and (t.text or t.task not in tasks)]
    if not done:
        told = say.first_up(chores(CHORE_WORDS[what]) if what in CHORE_WORDS else what)
        return Taken(answer=f"{told}: nothing else of it waits; nothing was put down.")
    if what in CHORE_WORDS or all(t.task in _TUBS for t in done):
        return Taken(tuple(TaskDone.model_validate(raw) for raw in doings(done)))
    return ticked_off(done, scene.now, everything=True)


def _of(what: str, ready: Sequence[DueTask], scene: Scene) -> list[DueTask] | None:
    """What waits of a chore, of the tubs or tanks, of named places, or of everything."""
    if what in CHORE_WORDS:
        return [t for t in ready if t.task in CHORE_WORDS[what]]
    if what in ("all", "everything", "it", "the lot"):
        return list(ready)
    if what == "water":
        return [t for t in ready if t.task in ("water_change", "egg_water", "fry_water")]
    tanks = {name for name, place in scene.standing.places.items() if place.kind == "tank"}
    tubs = scene.standing.places.keys() - tanks
    where = scene.words.where(what)
    named = {"tubs": tubs, "tanks": tanks}.get(what) or set(where.places if where and not where.room else ())
    return [t for t in ready if t.place in named and (t.place in tanks or t.task in _TUBS)] if named else None


def _not_done(hit: re.Match[str], scene: Scene) -> Taken | None:
    """“Mops in 3 not done” tells of nothing that happened."""
    said = hit["in"] or hit["at"]
    where = scene.words.where(said) if said else None
    if said and not (where and where.places):
        return None
    spots = f" in {say.places(where.places)}" if where else ""
    told = chores(CHORE_WORDS[hit["before"] or hit["after"]])
    return Taken(answer=f"{say.first_up(told)}{spots}: nothing was put down. What is due stays on the list.")


def ticked_off(tasks: Sequence[DueTask], at: dt.datetime, *, bare: bool = False, everything: bool = False) -> Taken:
    """These tasks done at `at`: one chore at once, several after asking which; `bare`: wherever they are due."""
    by_label = groups(tasks)
    if len(by_label) == 1:
        return Taken(tuple(TaskDone.model_validate(raw) for raw in doings(tasks, bare=bare)), at=at)
    if everything:
        options = [("yes", doings(tasks, bare=bare)), ("no", ())]
        return Taken(asked=Asked(f"{ALL_DONE} {say.first_up(in_a_row(tasks))}.", at, tuple(options)))
    options = [(label, doings(mine, bare=bare)) for label, mine in choices(by_label)]
    options += [("all of it", doings(tasks, bare=bare)), ("none", ())]
    return Taken(asked=Asked(WHICH_DONE, at, tuple(options)))


def doings(tasks: Sequence[DueTask], *, bare: bool = False) -> tuple[dict[str, Any], ...]:
    """The events that tick these off, in their outside form: one a chore, with its places.

    `bare`: a chore with its hours wherever it is due. One that comes round by days starts only there anew.
    """
    watered = {t.place for t in tasks if t.task == "egg_water"}  # with which they are looked at and picked over
    tasks = [t for t in tasks if t.text or t.task not in WITH_WATER or t.place not in watered]
    by_task: dict[str, list[str]] = {}
    for t in tasks:
        spots = by_task.setdefault(t.text or t.task, [])
        spot = t.place or t.batch
        if spot and spot not in spots and not (bare and t.grace == TWO_HOURS and not t.text):
            spots.append(spot)
    found: list[dict[str, Any]] = []
    for task, spots in by_task.items():
        batch = len(spots) == 1 and not any(t.place for t in tasks if (t.text or t.task) == task)
        where: dict[str, Any] = {"places": spots} if len(spots) > 1 else {"place": spots[0]} if spots else {}
        found.append({"kind": "done", "task": task, **({"batch": spots[0]} if batch else where)})
    return tuple(found)


# ---- said back


def ready_for(event: TaskDone, standing: Standing, book: RoomBook, now: dt.datetime) -> list[DueTask]:
    """The tasks due by now, or soon, that the words of a doing may mean."""
    meant = _tasks(event, standing)
    return [
        t
        for t in due_list(standing, book, now)
        if t.due <= now + TWO_HOURS
        and (not event.spots or t.place in event.spots)
        and (not event.batch or t.batch == event.batch)
        and (same_thing(event.task, t.text) if t.text else t.task in meant)
    ]


def already(
    event: TaskDone, at: dt.datetime, ready: Sequence[DueTask], standing: Standing, book: RoomBook, now: dt.datetime
) -> str | None:
    """What is said when it was done already, so that nothing is put down twice; None when it was not."""
    if ready:
        return None
    last = _last(event, standing, book, now)
    if last is None or abs(at - last) > SAME_DOING:
        return None
    local = last.astimezone(now.tzinfo)
    day = "" if local.date() == now.date() else f"{say.day(local, now.date())} "
    return f"{say.first_up(_label(event))}: done already, {day}{local:%H:%M}; not put down twice."


def line_of_doing(
    event: TaskDone, at: dt.datetime, ready: Sequence[DueTask], left: Sequence[DueTask], now: dt.datetime
) -> str:
    """The read-back of a doing: what it ticked off of what was `ready`, and what is due again (`left`)."""
    still = {(t.task, t.place, t.text) for t in left}
    ticked = [t for t in ready if (t.task, t.place, t.text) not in still]
    what = "; ".join(groups(ticked)) if ticked else _label(event)
    since = [t.due for t in left if at < t.due <= now]
    again = f" Due again since {since[0]:%H:%M}." if since and not ticked else ""
    then = "" if abs(at - now) < dt.timedelta(minutes=5) else f" ({say.day(at.date(), now.date())} {at:%H:%M})"
    return f"Done: {what}{then}.{again}"


def _tasks(event: TaskDone, standing: Standing) -> tuple[str, ...]:
    """The chores its words mean; none when they are a reminder's own."""
    placed = bool(event.spots or event.batch)
    own = not placed and any(getattr(k.event, "text", "") == event.task for k in standing.reminders)
    return () if own else tasks_said(event.task, placed)


def _label(event: TaskDone) -> str:
    tasks = tasks_said(event.task, bool(event.spots or event.batch))
    where = say.places(event.spots) or event.batch or ""
    own = not tasks or (not re.fullmatch(r"[a-z_]+", event.task) and "reminder" in tasks)
    name = event.task if own else chores(tasks[:1])
    return f"{name} {where}".strip() if where.casefold() not in name.casefold() else name


def _last(event: TaskDone, standing: Standing, book: RoomBook, now: dt.datetime) -> dt.datetime | None:
    """When what the words mean was last done there, or anywhere where no place is said."""
    keys = [f"{event.task}|{spot}" for spot in event.spots or (event.batch or "",)]
    said = [at for key, at in standing.done.items() if key in keys]
    round_ = Round(standing, Routine.of(standing), Clock(now.astimezone(dt.UTC), zone_of(standing, book), 1))
    for task in _tasks(event, standing):
        spots = event.spots or tuple(round_.at_place)
        said += [at for spot in spots if (at := round_.last_done(task, spot))]
    return max(said, default=None)
