"""What is said unasked, and when: the nightly message, the week's figures, the keeper's own reminders.

Each has a name in the book that is claimed before it is sent, so no restart and no second process says it twice.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator

from bot import sentences as say
from bot.channels.serve import Notice
from bot.chores import due_list
from bot.nightly import nightly, nightly_picture
from shared.routine import Routine
from storage.journal import RoomBook

LATE_ENOUGH = dt.timedelta(hours=10)  # a nightly message missed by more than this is let go
REMINDER_LATE = dt.timedelta(hours=12)


def unasked(book: RoomBook, now: dt.datetime) -> Iterable[Notice]:
    """All there is to say at `now` (aware); the door claims each before it is sent."""
    local = now.astimezone(book.info.zone)
    standing = book.standing()
    routine = Routine.of(standing)
    if not standing.seq:
        return
    addresses = [
        (person.key, door, address)
        for person in book.people()
        for door, address in book.addresses(person.key)
        if person.role != "viewer"
    ]
    if not addresses:
        return
    yield from _nightly(book, local, routine, addresses)
    if not _quiet(local.time(), routine.quiet):
        yield from _reminders(book, local, addresses)


def _quiet(clock: dt.time, hours: tuple[dt.time, dt.time]) -> bool:
    begin, end = hours
    return begin <= clock < end if begin <= end else clock >= begin or clock < end


def night_of(local: dt.datetime, nightly_at: dt.time) -> dt.datetime:
    """The last moment a nightly message was due, by the wall clock of the room's zone."""
    due = dt.datetime.combine(local.date(), nightly_at, local.tzinfo)
    return due if due <= local else dt.datetime.combine(local.date() - dt.timedelta(days=1), nightly_at, local.tzinfo)


def _nightly(
    book: RoomBook, local: dt.datetime, routine: Routine, addresses: list[tuple[str, str, str]]
) -> Iterator[Notice]:
    due = night_of(local, routine.nightly_at)
    late = local.astimezone(dt.UTC) - due.astimezone(dt.UTC)
    on_time = late < dt.timedelta(minutes=30)
    if late > LATE_ENOUGH or (not on_time and _quiet(local.time(), routine.quiet)):
        return
    night = due.date().isoformat()
    done = {claim.key for claim in book.claims("nightly", night)}
    wanted = [(key, door, address) for key, door, address in addresses if f"{night}:{door}:{key}" not in done]
    if not wanted:
        return
    text = nightly(book, due)
    if not on_time:
        text = f"(Late: the room was not reachable at {due:%H:%M}.)\n{text}"
    picture = nightly_picture(book, due)
    for key, door, address in wanted:
        yield Notice("nightly", f"{night}:{door}:{key}", door, address, text, picture)


def _reminders(book: RoomBook, local: dt.datetime, addresses: list[tuple[str, str, str]]) -> Iterator[Notice]:
    for task in due_list(book.standing(), book, local):
        if task.task != "reminder" or not task.text or not task.due <= local <= task.due + REMINDER_LATE:
            continue
        for key, door, address in addresses:
            mark = f"{task.due.isoformat()}:{task.text[:40]}:{door}:{key}"
            yield Notice(
                "reminder", mark, door, address, f"To remember ({say.day(task.due, local.date())}): {task.text}"
            )
