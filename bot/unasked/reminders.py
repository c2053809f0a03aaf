"""What is said unasked, and when: the nightly message, the keeper's own reminders, eggs nobody has looked at.

Each has a name in the book that is claimed before it is sent, so no restart and no second process says it twice.
A person has one claim whatever the doors: the first door that is open takes it.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from weakref import WeakKeyDictionary

from bot import sentences as say
from bot.channels.serve import Notice
from bot.routine.chores import due_list, zone_of
from bot.unasked.nightly import missed, nightly, nightly_picture
from bot.unasked.notices import CHOICES, about, choices, reminder_name
from shared.due.due_list import due
from shared.due.house_rules import Routine
from shared.due.tasks import TWO_HOURS, DueTask
from shared.events import ReminderAsked
from shared.ledger.standing import Standing
from storage.journal import RoomBook
from storage.trouble import StorageTrouble

ON_TIME = dt.timedelta(minutes=30)
LATE_ENOUGH = dt.timedelta(hours=12)  # what was missed by more than this is let go
COPY_FROM = 3  # o'clock, when the room is quiet
A_DAY = dt.timedelta(days=1)
STRANGERS = "Each got one line and nothing was kept. If you expect somebody: “invite Tom as helper” makes a code."
LOOK_MINUTES = 10  # forecasts of every batch are not made anew each minute
DOORS = ("telegram", "sms")  # a picture can go with the first


@dataclass(frozen=True)
class _Member:
    """Someone to tell, and where, the better door first."""

    key: str
    ways: tuple[tuple[str, str], ...]


def unasked(book: RoomBook, now: dt.datetime) -> Iterable[Notice]:
    """All there is to say at `now` (aware); the door claims each before it is sent."""
    standing = book.standing()
    members = _members(book)
    if not members:
        return
    local = now.astimezone(zone_of(standing, book))
    routine = Routine.of(standing)
    quiet = _quiet(local.time(), routine.quiet)
    if not quiet:
        yield from _at_the_door(book, local, members)
    if not standing.seq:
        return
    yield from _copied(book, local, members)
    yield from _nightly(book, local, routine, members)
    yield from _reminders(book, standing, local, members, quiet)
    if not quiet and local.minute % LOOK_MINUTES < 2:
        yield from _looks(book, standing, local, members)


def _members(book: RoomBook) -> list[_Member]:
    found = []
    for person in book.people():
        ways = sorted(book.addresses(person.key), key=lambda way: (way[0] not in DOORS, way))
        ways.sort(key=lambda way: DOORS.index(way[0]) if way[0] in DOORS else len(DOORS))
        if person.role != "viewer" and ways:
            found.append(_Member(person.key, tuple(ways)))
    return found


def _copied(book: RoomBook, local: dt.datetime, members: list[_Member]) -> Iterator[Notice]:
    """The day's copy in the small hours; the owners hear of it only when it fails."""
    if local.hour < COPY_FROM:
        return
    try:
        book.copy_of_the_day(local.date())
    except StorageTrouble as trouble:
        for member in members:
            person = book.person(member.key)
            if person and person.role == "owner":
                door, address = member.ways[0]
                text = f"Last night's copy could not be made. {trouble}"
                yield Notice("copy", f"{local.date().isoformat()}:{member.key}", door, address, text)


def _at_the_door(book: RoomBook, local: dt.datetime, members: list[_Member]) -> Iterator[Notice]:
    """The owners hear who has come in by a code, and once a day that strangers wrote."""
    owners = [m for m in members if (person := book.person(m.key)) and person.role == "owner"]
    said: list[tuple[str, str, str]] = []  # kind, name in the book, words
    for person, at in book.arrivals(local - LATE_ENOUGH):
        text = f"{person.name} came in with a code, as {person.role}. “remove {person.name}” puts them out again."
        said.append(("arrival", f"{person.key}-{at:%Y%m%dT%H%M%S}", text))
    if strangers := book.knocked(local - A_DAY):
        text = f"{say.count(strangers, 'stranger')} wrote here in the last 24 hours. {STRANGERS}"
        said.append(("strangers", local.date().isoformat(), text))
    for what, name, text in said:
        done = {claim.key for claim in book.claims(what, name)}
        for owner in owners:
            key = f"{name}:{owner.key}"
            if key not in done and not name.startswith(f"{owner.key}-"):
                for door, address in owner.ways:
                    yield Notice(what, key, door, address, text)


def _quiet(clock: dt.time, hours: tuple[dt.time, dt.time]) -> bool:
    begin, end = hours
    return begin <= clock < end if begin <= end else clock >= begin or clock < end


# ---- the nightly message


def night_of(local: dt.datetime, routine: Routine) -> tuple[dt.date, dt.datetime]:
    """The night whose message was due last, and when (UTC): at its hour by the wall clock of the room's zone.

    An hour set for earlier on the same day, once that has gone by, counts from when it was said.
    """
    now = local.astimezone(dt.UTC)
    said = [s.since for s in routine.settings if s.key in ("nightly_at", "time_zone") and s.since <= now]
    for back in range(2):
        day = local.date() - dt.timedelta(days=back)
        at = dt.datetime.combine(day, routine.nightly_at, local.tzinfo).astimezone(dt.UTC)
        if at <= now:
            return day, max([at, *(m for m in said if m > at and m.astimezone(local.tzinfo).date() == day)])
    raise AssertionError("a day has no hour at which its message is due")


def _nightly(book: RoomBook, local: dt.datetime, routine: Routine, members: list[_Member]) -> Iterator[Notice]:
    night, at = night_of(local, routine)
    late = local.astimezone(dt.UTC) - at
    if late > LATE_ENOUGH or (late > ON_TIME and _quiet(local.time(), routine.quiet)):
        return
    done = {claim.key for claim in book.claims("nightly", night.isoformat())}
    wanted = [m for m in members if f"{night.isoformat()}:{m.key}" not in done]
    if not wanted or (late > ON_TIME and not _begun(book, at)):
        return
    asked = at.astimezone(local.tzinfo)
    for member in wanted:
        for door, address in member.ways:
            text, picture, options = _told(book, asked, short=door == "sms", late=late > ON_TIME)
            key = f"{night.isoformat()}:{member.key}"
            yield Notice("nightly", key, door, address, text, picture, options, about("nightly", key))


def _begun(book: RoomBook, at: dt.datetime) -> bool:
    """Whether the house stood when a message was due that is late now: none is late from before it was opened."""
    if book.claims("nightly"):
        return True
    before = book.messages(until=at, limit=50, newest_first=True)
    return any(m.door not in ("setup", "replay") for m in before)  # those count as said long before they were typed


_Told = tuple[str, bytes | None, tuple[str, ...]]
_KEPT: WeakKeyDictionary[RoomBook, dict[tuple[object, ...], _Told]] = WeakKeyDictionary()


def _told(book: RoomBook, at: dt.datetime, *, short: bool, late: bool) -> _Told:
    """The message and its picture, made once while a door is waited for."""
    seq = book.standing().seq
    kept = _KEPT.setdefault(book, {})
    key = (at, short, late, seq)
    if key not in kept:
        for old in [k for k in kept if k[0] != at or k[3] != seq]:
            del kept[old]
        options = choices("nightly", missed(book, at))
        text = nightly(book, at, short=short, late=late, options=options)
        kept[key] = (text, None if short else nightly_picture(book, at), options)
    return kept[key]


# ---- the keeper's own reminders


def _reminders(
    book: RoomBook,
    standing: Standing,
    local: dt.datetime,
    members: list[_Member],
    quiet: bool,
) -> Iterator[Notice]:
    """Each at its time, to whoever asked for it; one that gave its hour comes also in the quiet hours.

    A dose that has its hour comes like them, to everybody.
    """
    for task in due(standing, local, zone_of(standing, book)):
        late = local.astimezone(dt.UTC) - task.due.astimezone(dt.UTC)
        timed = task.task == "treat" and task.grace == TWO_HOURS
        if (
            not (timed or task.task in ("reminder", "wet_peat"))
            or not task.text
            or not dt.timedelta(0) <= late <= LATE_ENOUGH
        ):
            continue
        if quiet and (task.grace != TWO_HOURS or late > ON_TIME):
            continue
        name = reminder_name(task)
        done = {claim.key for claim in book.claims("reminder", name)}
        asker = _asker(book, standing, task)
        told = [m for m in members if m.key == asker] or members
        where = f" ({task.place})" if task.place and task.place.casefold() not in task.text.casefold() else ""
        since = f" (was for {task.due:%H:%M})" if late > ON_TIME else ""
        text = f"To remember: {task.text}{where}{since}"
        for member in told:
            key = f"{name}:{member.key}"
            for door, address in member.ways if key not in done else ():
                yield Notice("reminder", key, door, address, text, None, CHOICES, about("reminder", key))


def _asker(book: RoomBook, standing: Standing, task: DueTask) -> str | None:
    """Who asked to be reminded of it."""
    seqs = [
        k.seq for k in standing.reminders if isinstance(k.event, ReminderAsked) and k.event.text == task.text
    ]  # fmt: skip
    if not seqs:
        return None
    return next((e.person for e in book.entries(kinds=("remind",)) if e.seq == seqs[-1]), None)


# ---- what cannot wait


def _looks(book: RoomBook, standing: Standing, local: dt.datetime, members: list[_Member]) -> Iterator[Notice]:
    """Once a day: eggs in their hatch window that nobody has looked at since the look was due."""
    today = local.date().isoformat()
    done = {claim.key for claim in book.claims("look", today)}
    waiting = [m for m in members if f"{today}:{m.key}" not in done]
    tasks = due_list(standing, book, local) if waiting else []
    late = [t for t in tasks if t.task == "check_hatch" and t.first and t.overdue(local)]
    if not late:
        return
    spots = list(dict.fromkeys(t.place or t.batch or "" for t in late))
    text = f"Fry are expected, and no look is logged: {say.places(spots)} ({late[0].why})."
    if len(spots) > 1:
        text = f"Fry are expected, and no look is logged: {say.places(spots)}."
    for member in waiting:
        for door, address in member.ways:
            key = f"{today}:{member.key}"
            yield Notice("look", key, door, address, text, None, CHOICES, about("look", key))
