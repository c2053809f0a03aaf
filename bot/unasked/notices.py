"""What may be answered to something said unasked: done, later, why; by a button, a number, or the words themselves.

Nothing more is kept for it than the claim under which it was sent: what it was about is found again from that, so a
button works after a restart, and after the day's other notes.
"""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Sequence

from bot import sentences as say
from bot.routine.chore_list import whys
from bot.routine.chores import due_list, zone_of
from bot.routine.putting_off import in_two_hours, put_off, put_off_keys
from bot.routine.taken import Scene, Taken
from bot.routine.ticking import doings, ticked_off
from bot.routine.words import Words
from bot.talk.knowing import reader_for
from bot.talk.questions import Asked
from bot.unasked.nightly import missed
from shared.due.house_rules import Routine
from shared.due.tasks import DueTask
from shared.ledger.standing import Standing
from storage.journal import Claim, Message, RoomBook

DONE, LATER, WHY = CHOICES = ("done", "later", "why")
_SAID = {
    **dict.fromkeys(("done", "did it", "done it", "all done"), DONE),
    **dict.fromkeys(("later", "not now", "remind me later"), LATER),
    **dict.fromkeys(("why", "why is that"), WHY),
}
KINDS = ("reminder", "look", "nightly")
BEGINS = "notice:"  # so an answer's `about` begins when it is to something said unasked
ANSWERED_FOR = dt.timedelta(hours=12)  # so long a typed “done” is meant for it; a button has no such end
KEPT_DAYS = 40
_OVER = "That is done already, or no longer due; nothing was put down."


def reminder_name(task: DueTask) -> str:
    """A reminder's name in the book: by the wall clock, so that a room which moves zone is not told the same again."""
    what = hashlib.sha256(f"{task.text}|{task.place}|{task.batch}".encode()).hexdigest()[:12]
    return f"{task.due:%Y-%m-%dT%H:%M}:{what}"


def about(what: str, key: str) -> str:
    """What an answer to it carries: short enough for a button."""
    return BEGINS + hashlib.sha256(f"{what}|{key}".encode()).hexdigest()[:12]


def choices(what: str, tasks: Sequence[DueTask]) -> tuple[str, ...]:
    """What is offered with something said unasked about these tasks."""
    return CHOICES if what in KINDS and tasks else ()


def claimed(ref: str, book: RoomBook, now: dt.datetime) -> Claim | None:
    """What was sent under that reference, within some weeks."""
    first = now.date() - dt.timedelta(days=KEPT_DAYS)
    months = dict.fromkeys(f"{day:%Y-%m}" for day in (now.date() + dt.timedelta(days=1), now.date(), first))
    sent = (c for what in KINDS for month in months for c in book.claims(what, month))
    return next((c for c in sent if about(c.what, c.key) == ref), None)


def newest(book: RoomBook, person: str, since: dt.datetime | None, now: dt.datetime) -> Claim | None:
    """What was last said unasked to a person, when that was after `since` and not long ago."""
    days = (now.date() - dt.timedelta(days=n) for n in (-1, 0, 1))
    sent = [c for day in days for what in KINDS for c in book.claims(what, day.isoformat())]
    mine = [c for c in sent if c.key.endswith(f":{person}") and dt.timedelta(0) <= now - c.claimed <= ANSWERED_FOR]
    last = max(mine, key=lambda c: c.claimed, default=None)
    return last if last and (since is None or last.claimed >= since) else None


def tasks_of(claim: Claim, standing: Standing, book: RoomBook, now: dt.datetime) -> list[DueTask]:
    """What it was about and is still due."""
    ready = [t for t in due_list(standing, book, now) if t.due <= now]
    if claim.what == "reminder":
        return [t for t in ready if t.text and claim.key.startswith(f"{reminder_name(t)}:")]
    if claim.what == "look":
        return [t for t in ready if t.task == "check_hatch" and t.first]
    still = {(t.task, t.place, t.text) for t in ready}
    return [t for t in missed(book, _at(claim, standing, book)) if (t.task, t.place, t.text) in still]


def _at(claim: Claim, standing: Standing, book: RoomBook) -> dt.datetime:
    """The hour for which a night's message was, aware."""
    night = dt.date.fromisoformat(claim.key[:10])
    return dt.datetime.combine(night, Routine.of(standing).nightly_at, zone_of(standing, book))


def shown_since(message: Message, book: RoomBook, now: dt.datetime) -> bool:
    """Whether a night's message came after all that was written here."""
    claim = _since_last(message, book, now)
    return claim is not None and claim.what == "nightly"


def _since_last(message: Message, book: RoomBook, now: dt.datetime) -> Claim | None:
    kept = book.messages(person=message.person, limit=6, newest_first=True)
    last = next((m.sent for m in kept if m.chat == message.chat and m.delivery != message.delivery), None)
    return newest(book, message.person, last, now)


def noticed(about: str | None, message: Message, book: RoomBook, standing: Standing, now: dt.datetime) -> Taken | None:
    """What “done”, “later” or “why” comes to when it answers something said unasked, lately or by its button."""
    said = _SAID.get(message.text.strip(" ?!.").casefold())
    if said is None:
        return None
    claim = claimed(about, book, now) if about and about.startswith(BEGINS) else _since_last(message, book, now)
    if claim is None:
        return None
    speaker = book.person(message.person)
    words = Words(reader_for(book, standing).names, now)
    return answer_notice(claim, said, Scene(standing, now, words, speaker.name if speaker else None), book)


def answer_notice(claim: Claim, said: str, scene: Scene, book: RoomBook) -> Taken:
    """What “done”, “later” or “why” to it comes to."""
    tasks = tasks_of(claim, scene.standing, book, scene.now)
    if not tasks:
        return Taken(answer=_OVER)
    # told on another day, it was done by the time it was said
    at = scene.now
    if claim.what == "nightly" and (night := _at(claim, scene.standing, book)).date() != scene.now.date():
        at = night
    until = in_two_hours(scene)
    if claim.what == "nightly":
        until = (scene.now.date() + dt.timedelta(days=1), None)
    if said == DONE:
        return ticked_off(tasks, at)
    if said == LATER:
        return put_off(tasks, scene, until)
    told = whys(tasks)
    asked = ticked_off(tasks, at).asked
    if asked is None:
        asked = Asked("Done, or later?", at, ((DONE, doings(tasks)), (LATER, put_off_keys(tasks, *until))))
    return Taken(answer="\n".join(say.first_up(line) for line in told), asked=asked)
