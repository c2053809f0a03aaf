"""“Later”, “skip today”, “not tank 7 till Thursday”, “Ivo does that”: what waits is put off or handed over.

Words that point back (“that”, “later”) mean the list or the reminder said last; of several things it is asked which.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from bot import sentences as say
from bot.language import Reader
from bot.routine.chore_list import SOON, WITH_WATER, in_a_row
from bot.routine.chores import due_list
from bot.routine.resting import CAN_WAIT
from bot.routine.shifting import WAITS, in_places, pushed, waits
from bot.routine.taken import Scene, Taken, dated, object_of, slot_of, told
from bot.routine.words import Days, Order
from bot.talk.questions import NEVER_MIND, Asked
from shared.due.tasks import TWO_HOURS, DueTask
from shared.events import RoutineSet, TaskPutOff
from storage.journal import KeptMessage, Message, RoomBook

FRESH = dt.timedelta(hours=3)  # so long a list or a reminder is what “later” means
LATER = dt.timedelta(hours=2)  # house rule, no source
NOTHING_LISTED = "Nothing was listed just now. Say which chore, or ask “what's due” first."
MOST_CHOICES = 5
LONGEST_CHOICE = 40  # letters: about what a button shows on a telephone; common practice, no source
VAGUE = re.compile(r"^(?:all )?(?:done|finished)$|^did (?:it|that|them)(?: all)?$")
_LATER = re.compile(r"^(?:later|not now|remind me later|do (?:it|that) later|in a bit|later today)$")
_SKIP = re.compile(r"^(?:skip|leave|snooze|put off|postpone|not|move)(?: (?:it|that|this|them|those))?$")
_SKIP_WHAT = re.compile(r"^(?:skip|leave|snooze|put off|postpone|not|don't do|no) (?:the )?(?P<what>.+)$")
_TILL = re.compile(
    r"^(?:snooze|put off|postpone|delay|leave|push) (?:the )?(?P<what>.+?) (?:until|till?|to) "
    r"(?P<clock>\d{1,2}(?:[:.][0-5]\d)? ?(?:am|pm)?|noon|midday)$"
)
_EVERYTHING = re.compile(
    r"^(?:skip|leave|snooze|put off|postpone|cancel|drop) "
    r"(?:everything|it all|all of it|all|the lot|all (?:the )?(?:chores|jobs))(?: off)?(?: for)?$|^no (?:chores|jobs)$"
)
_HAND = re.compile(r"^(?P<who>[^\W\d_]+) (?:does|do|takes|take|gets) (?:it|that|this|those|them)(?P<all> all)?$")


@dataclass(frozen=True)
class OnHand:
    """What the last word in a chat was about; `all_there_is` when a list was not narrowed to a place."""

    tasks: tuple[DueTask, ...] = ()
    all_there_is: bool = False


def waiting(book: RoomBook, scene: Scene, message: Message, reader: Reader) -> OnHand:
    """The list just shown, or the reminder just sent; nothing where the last word was neither."""
    kept = book.messages(person=message.person, limit=8, newest_first=True)
    mine = [m for m in kept if m.chat == message.chat and m.delivery != message.delivery]
    last = next((m for n, m in enumerate(mine) if not _only_answers(m.text, mine[n + 1 :])), None)
    query = None
    if last and scene.now - last.sent <= FRESH:
        query = reader.read(last.text, last.sent.astimezone(scene.now.tzinfo)).query
    reminded = _reminded(book, scene, message)
    if reminded and (last is None or reminded[0] > last.sent):
        return OnHand((reminded[1],))
    if query is None or query.about != "due" or query.date or query.days:
        return OnHand()
    narrowed = bool(query.place or query.batch or query.line)
    tasks = [
        t
        for t in due_list(scene.standing, book, scene.now)
        if not narrowed
        or (query.place and t.place == query.place)
        or (query.batch and t.batch == query.batch)
        or (query.line and t.line == query.line)
    ]
    ready = [t for t in tasks if _utc(t.due) <= _utc(scene.now) + SOON]
    if not ready and tasks:
        first = min(_utc(t.due) for t in tasks)
        ready = [t for t in tasks if _utc(t.due) <= first + SOON]
    return OnHand(tuple(ready), not narrowed)


def _only_answers(text: str, before: Sequence[KeptMessage]) -> bool:
    """Whether words only chose among what was asked just before, so that the list still is what was said last."""
    said = text.casefold().strip(" .!")
    options = before[0].reply.payload.get("options", ()) if before and before[0].reply else ()
    return said in NEVER_MIND or said in [str(o).casefold() for o in options] or bool(VAGUE.match(said))


def _reminded(book: RoomBook, scene: Scene, message: Message) -> tuple[dt.datetime, DueTask] | None:
    """The reminder sent last to this person, while it still waits."""
    sent = [
        c
        for day in (scene.now, scene.now - FRESH)
        for c in book.claims("reminder", f"{day:%Y-%m-%d}")
        if c.key.endswith(f":{message.person}") and dt.timedelta(0) <= scene.now - c.claimed <= FRESH
    ]
    if not sent:
        return None
    newest = max(sent, key=lambda c: c.claimed)
    tasks = [t for t in due_list(scene.standing, book, scene.now) if t.text]
    found = [t for t in tasks if newest.key.startswith(f"{t.due:%Y-%m-%dT%H:%M}:")]
    return (newest.claimed, found[0]) if found else None


def put_off_order(order: Order, scene: Scene, book: RoomBook, message: Message, reader: Reader) -> Taken | None:
    """The putting off or handing over an order asks for, if it is one."""
    if order.season:
        return None
    if order.where.room and not order.weekday:
        if _LATER.match(order.core) and (order.days is None or order.days.first == scene.now.date()):
            hand = waiting(book, scene, message, reader)
            first = min((t.due for t in hand.tasks), key=_utc, default=scene.now)
            if not hand.tasks:
                return Taken(answer=NOTHING_LISTED)
            return _point(hand, scene, in_two_hours(scene, first))
        if _SKIP.match(order.core) and order.days and order.core != "no":
            until, hand = _until(order.days, scene), waiting(book, scene, message, reader)
            if not hand.tasks and order.core == "skip":
                return Taken(answer=NOTHING_LISTED)
            return _point(hand, scene, (until, None))
        if hit := _HAND.match(order.core):
            person = scene.speaker if hit["who"] == "i" else scene.words.person(hit["who"])
            hand = waiting(book, scene, message, reader) if person else OnHand()
            return _hand_over(hand, person, order.days, scene, bool(hit["all"])) if person and hand.tasks else None
    if found_day := pushed(order, scene) or waits(order, scene) or _till_an_hour(order, scene, book):
        return found_day
    if asked := _everything(order, scene, book) or _bare_day(order, scene, book):
        return asked
    hit = _SKIP_WHAT.match(order.core) or WAITS.match(order.core)
    if hit and not order.days and order.core.startswith("skip "):
        order = Order(order.core, order.where, order.weekday, Days(scene.now.date(), scene.now.date()))
    if not hit or order.days is None or order.weekday:
        return None
    days = order.days
    order, what = object_of(order, hit["what"], scene)
    if found := scene.words.chore(what):
        return None if order.core.startswith("no ") else _chore_left(order, days, what, found, scene)
    where = scene.words.where(hit["what"]) if order.where.room else None
    if where is None or not where.places or order.core.startswith(("no ", "don't")):
        return None
    return _places(where.places, _until(days, scene), scene, book)


def _chore_left(
    order: Order, days: Days, what: str, found: tuple[tuple[str, ...], str | None], scene: Scene
) -> Taken | None:
    """A chore by its name: left out on days to come or at a part of the day, or put off till after today."""
    tasks, part = found
    if part or days.first > scene.now.date():
        slots = {t: slot_of(t, part, scene) if part else None for t in tasks}
        left = [t for t in tasks if slots[t] or not part]
        events = [RoutineSet(what="off", value=t, slot=slots[t], **dated(order)) for t in left]
        return told(events, scene) if events else None
    keys: dict[str, Any] = dict(order.where.keys())
    places = keys.pop("places", None) or [keys.pop("place", None)]
    if keys:
        return None
    until = _until(days, scene)
    put = tuple(TaskPutOff(task=t, place=p, date=until) for p in places for t in tasks)
    return Taken(put, (f"{what.capitalize()}{in_places(places)} put off to {say.day(until, scene.now.date())}.",))


def _everything(order: Order, scene: Scene, book: RoomBook) -> Taken | None:
    """“Skip everything today”: what can wait a day, or all of it, is asked; eggs and fry cannot wait unsaid."""
    if not _EVERYTHING.match(order.core) or not order.where.room or order.weekday:
        return None
    today = scene.now.date()
    days = order.days or Days(today, today)
    if days.first > today:
        return None
    until = days.back
    tasks = due_list(scene.standing, book, scene.now, days=max(1, (until - today).days))
    tasks = [t for t in tasks if t.due.date() < until]
    if not tasks:
        return Taken(answer=f"Nothing is due before {say.day(until, today)}.")
    waits = [t for t in tasks if t.task in CAN_WAIT]
    vital = groups([t for t in tasks if t.task not in CAN_WAIT])
    options = [("what can wait", put_off_keys(waits, until, None, bare=True))] if waits else []
    if vital:
        options.append(("all, eggs and fry too", put_off_keys(tasks, until, None, bare=True)))
    options.append(("nothing", ()))
    question = (
        f"Put off to {say.day(until, today)}: what can wait a day, or all of it? Eggs, fry and feeding should go on."
    )
    return Taken(asked=Asked(question, scene.now, tuple(options)))


def _bare_day(order: Order, scene: Scene, book: RoomBook) -> Taken | None:
    """“Mops tomorrow”, “filters next week”: no more than a chore and a day to come; asked, for it may be a thought."""
    days = order.days
    if days is None or days.first <= scene.now.date() or order.weekday:
        return None
    if (days.first - scene.now.date()).days > 1 and (days.last - days.first).days + 1 != 7:
        return None  # a weekday by its name may be the last one
    order, what = object_of(order, order.core, scene)
    found = scene.words.chore(what)
    if found is None or found[1] or order.where.line or order.where.batch:
        return None
    day = say.day(days.first, scene.now.date())
    ahead = max(1, (days.first - scene.now.date()).days)
    spots: tuple[str | None, ...] = order.where.places or (None,)
    mine = [
        t
        for t in due_list(scene.standing, book, scene.now, days=ahead)
        if t.task in found[0] and t.due.date() < days.first and (spots == (None,) or t.place in spots)
    ]
    if not mine:
        return None
    tasks = list(dict.fromkeys(t.task for t in mine))
    put = tuple(TaskPutOff(task=t, place=p, date=days.first).outside() for p in spots for t in tasks)
    options = (("yes", put), ("no", ()))
    return Taken(asked=Asked(f"Put off to {day}: {what}{in_places(spots)}?", scene.now, options))


def _till_an_hour(order: Order, scene: Scene, book: RoomBook) -> Taken | None:
    """“Snooze tub B till 10”: what waits there, or a chore by its name, until an hour of today."""
    hit = _TILL.match(order.core)
    if not hit or order.weekday or order.days or not order.where.room:
        return None
    clocks = [c for c in (scene.words.clocks(f"{lead}{hit['clock']}") or () for lead in ("", "11:59, ")) if c]
    later = sorted({c[-1] for c in clocks if c[-1] > f"{scene.now:%H:%M}"})
    if not later:
        return None
    order, what = object_of(order, hit["what"], scene)
    found, where = scene.words.chore(what), order.where
    if found is None and where.room:
        where = scene.words.where(what) or where
    if (found is None and not where.places) or (found and found[1]):
        return None
    tasks = [
        t
        for t in due_list(scene.standing, book, scene.now)
        if t.due <= scene.now + SOON
        and (not where.places or t.place in where.places)
        and (t.task in found[0] if found else t.grace == TWO_HOURS)
    ]
    return put_off(tasks, scene, (scene.now.date(), later[0])) if tasks else None


def _places(places: Sequence[str], until: dt.date, scene: Scene, book: RoomBook) -> Taken | None:
    """Everything of some places but their daily care; that is only put off when it is all there is, and asked."""
    tasks = due_list(scene.standing, book, scene.now, days=max(1, (until - scene.now.date()).days))
    here = [t for t in tasks if t.place in places]
    by_days = [t for t in here if t.grace != TWO_HOURS]
    named, day = say.first_up(say.places(places)), say.day(until, scene.now.date())
    if not here:
        return Taken(answer=f"Nothing is due in {say.places(places)} before {day}.")
    if not by_days:
        daily = in_a_row(here, bare=True)
        options = (("yes", put_off_keys(here, until, None)), ("no", ()))
        question = f"Only daily care is due there: {daily}. Leave even that till {day}?"
        return Taken(asked=Asked(question, scene.now, options))
    stays = ", daily care goes on" if len(by_days) < len(here) else ""
    return Taken(
        tuple(TaskPutOff.model_validate(raw) for raw in put_off_keys(by_days, until, None)),
        (f"{named}: {in_a_row(by_days, bare=True)} put off to {day}{stays}.",),
    )


def _point(hand: OnHand, scene: Scene, until: tuple[dt.date, str | None]) -> Taken | None:
    """One thing on the list is put off at once; of several it is asked which."""
    by_label = groups(hand.tasks)
    if not by_label:
        return None
    if len(by_label) == 1:
        ((label, mine),) = by_label.items()
        events = tuple(TaskPutOff.model_validate(raw) for raw in put_off_keys(mine, *until, bare=hand.all_there_is))
        when = say.day(until[0], scene.now.date()) + (f" {until[1]}" if until[1] else "")
        return Taken(events, (f"Put off to {when}: {label}.",))
    bare = hand.all_there_is
    options = [(label, put_off_keys(mine, *until, bare=bare)) for label, mine in choices(by_label)]
    options.append(("all of it", put_off_keys(hand.tasks, *until, bare=bare)))
    return Taken(asked=Asked("Put off which?", scene.now, tuple(options)))


def _hand_over(hand: OnHand, person: str, days: Days | None, scene: Scene, all_: bool) -> Taken:
    """What is on the list becomes somebody's for the day; of several things it is asked which."""
    days = days or Days(scene.now.date(), scene.now.date())

    def given(mine: Sequence[DueTask]) -> tuple[dict[str, Any], ...]:
        found = []
        for task in dict.fromkeys(t.task for t in mine):
            these = [t for t in mine if t.task == task]
            # what is late since some day is handed over as of that day
            late = [t.due.date() for t in these] if days.first == scene.now.date() else []
            raw = {"kind": "setting", "what": "who", "value": task, "person": person}
            raw |= Days(min([days.first, *late]), days.last).keys()
            spots = list(dict.fromkeys(t.place for t in these if t.place))
            found.append(raw if hand.all_there_is or not spots else {**raw, "places": spots})
        return tuple(found)

    by_label = groups(hand.tasks)
    if len(by_label) == 1 or all_:
        events = tuple(RoutineSet.model_validate(raw) for raw in given(hand.tasks))
        when = say.day(days.first, scene.now.date())
        return Taken(events, (f"{person}, {when}: {in_a_row(hand.tasks)}.",))
    options = [(label, given(mine)) for label, mine in choices(by_label)]
    options.append(("all of it", given(hand.tasks)))
    return Taken(asked=Asked(f"Which is {person}'s?", scene.now, tuple(options)))


def groups(tasks: Sequence[DueTask]) -> dict[str, list[DueTask]]:
    """Tasks by chore as a list shows them, an egg tub's look and picking with its fresh water."""
    tubs = {t.place for t in tasks if t.task == "egg_water"}
    by_key: dict[tuple[str, str], list[DueTask]] = {}
    for task in tasks:
        with_water = task.task in WITH_WATER and task.place in tubs and not task.text
        by_key.setdefault(("egg_water" if with_water else task.task, task.text or ""), []).append(task)
    named = {key: [t for t in mine if t.task == key[0]] for key, mine in by_key.items()}
    return {in_a_row(_not_first(named[key])): mine for key, mine in by_key.items()}


def choices(by_label: dict[str, list[DueTask]]) -> list[tuple[str, list[DueTask]]]:
    """The first of them as choices: in a large room by the chore alone, short enough for a button and free of
    numbers and letters, so that one can be chosen by its number.
    """
    found = list(by_label.items())[:MOST_CHOICES]
    bare = [in_a_row(_not_first(mine), bare=True) for _, mine in found]
    long = any(len(label) > LONGEST_CHOICE for label, _ in found)
    return list(zip(bare, (mine for _, mine in found), strict=True)) if long and len({*bare}) == len(bare) else found


def _not_first(tasks: Sequence[DueTask]) -> list[DueTask]:
    return [replace(t, first=False) for t in tasks]  # one label, whether it can wait or not


def put_off_keys(
    tasks: Iterable[DueTask], date: dt.date, time: str | None, *, bare: bool = False
) -> tuple[dict[str, Any], ...]:
    """What puts these off; `bare`: the chore wherever it is due, not place by place."""
    keys = {"kind": "snooze", "date": date.isoformat(), **({"time": time} if time else {})}
    found = [{**keys, "task": t.text or t.task, **({} if bare and not t.text else spot_of_task(t))} for t in tasks]
    return tuple({str(raw): raw for raw in found}.values())


def spot_of_task(task: DueTask) -> dict[str, str]:
    """The keys that say where an event about a task belongs."""
    if task.task == "look_at_peat" and task.batch:
        return {"batch": task.batch}
    return {"place": task.place} if task.place else {"batch": task.batch} if task.batch else {}


def put_off(tasks: Sequence[DueTask], scene: Scene, until: tuple[dt.date, str | None]) -> Taken:
    """All of these put off until then."""
    events = tuple(TaskPutOff.model_validate(raw) for raw in put_off_keys(tasks, *until))
    when = say.day(until[0], scene.now.date()) + (f" {until[1]}" if until[1] else "")
    return Taken(events, (f"Put off to {when}: {'; '.join(groups(tasks))}.",))


def in_two_hours(scene: Scene, due: dt.datetime | None = None) -> tuple[dt.date, str | None]:
    """Two hours on, from when it is `due` if that is to come; late in the evening the next morning."""
    later = (due if due and _utc(due) > _utc(scene.now) else scene.now) + LATER
    return (later.date(), f"{later:%H:%M}") if later.date() == scene.now.date() else (later.date(), None)


def _until(days: Days, scene: Scene) -> dt.date:
    """The day what was put off comes back: after today; a single day to come is that day."""
    return days.back if days.first <= scene.now.date() else days.first


def _utc(moment: dt.datetime) -> dt.datetime:
    return moment.astimezone(dt.UTC)
