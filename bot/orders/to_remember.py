"""The keeper's own reminders: shown in the order they come, and dropped."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence

from bot import sentences as say
from bot.routine.chores import zone_of
from bot.routine.taken import Scene, Taken
from bot.talk.questions import Asked
from shared.due.due_list import own_reminders
from shared.due.tasks import DueTask, same_thing, telling_words
from shared.events import ReminderAsked, TaskDone
from shared.ledger.standing import Standing
from storage.journal import RoomBook

MOST_LINES = 12
MOST_CHOICES = 8
_SHOW = re.compile(
    r"^(?:(?:show|list|see)(?: me)? |what(?:'s| is| are)? )?(?:all )?(?:the |my |our |any )?(?:open )?reminders?"
    r"(?: (?:do i have|have i got|are there|are set|have i got set|list))?$"
    r"|^what (?:did i ask you to|do you|will you|should you) remind me (?:of|about)$"
)
_DROP = re.compile(
    r"^(?:cancel|drop|delete|remove|forget|stop|clear|end|no more)(?P<every> all)? (?:the |my |that |this |our )?"
    r"(?:(?P<before>.+?) )?remind(?:er|ers|ing me)"
    r"(?:,? (?:about|of|for|to|that)(?: the| my)? (?P<after>.+)|:? (?P<bare>.+))?$"
)


_EACH = r"(?:(?:of )?(?:every|each|the) month|monthly)"
_NTH = r"(?:on )?(?:the )?(?:\d{1,2}(?:st|nd|rd|th)|first|last)(?: day)?"
_MONTHLY = tuple(
    re.compile(pattern)
    for pattern in (
        rf"^(?P<what>.+?),? (?P<day>{_NTH}) {_EACH}$",
        rf"^(?P<what>.+?),? {_EACH} (?P<day>{_NTH})$",
        rf"^(?P<day>{_NTH}) {_EACH}[,:]? (?P<what>.+)$",
        rf"^{_EACH} (?P<day>{_NTH})[,:]? (?P<what>.+)$",
    )
)
_WEEKDAY_OF = re.compile(
    r"\b(?:first|1st|second|2nd|third|3rd|fourth|4th|last) (?:mon|tues|wednes|thurs|fri|satur|sun)day"
    r" (?:of|in) (?:the|every|each) month\b"
)
NO_SUCH_ROUND = (
    "A weekday of the month I cannot keep. Say it like “on the 1st of every month” or “every 4 weeks”. Nothing was set."
)


def _monthly(text: str, scene: Scene) -> Taken | None:
    """“Filters on the 1st of every month”: a reminder that comes on that day of each month."""
    if _WEEKDAY_OF.search(text):
        return Taken(answer=NO_SUCH_ROUND)
    hit = next((hit for pattern in _MONTHLY if (hit := pattern.match(text))), None)
    if hit is None or text.startswith("remind"):
        return None
    digits = re.search(r"\d+", hit["day"])
    number = int(digits[0]) if digits else 31 if "last" in hit["day"] else 1
    if not 0 < number < 32:
        return None
    return Taken((ReminderAsked(text=hit["what"], month_day=number),))


def reminder_order(text: str, scene: Scene, book: RoomBook) -> Taken | None:
    """The reminders shown, one of them dropped, or one for a day of every month; None for any other words."""
    if monthly := _monthly(text, scene):
        return monthly
    if _SHOW.match(text):
        return Taken(answer=shown(scene.standing, book, scene.now))
    hit = _DROP.match(text)
    if not hit:
        return None
    waiting = coming(scene.standing, book, scene.now)
    if not waiting:
        return Taken(answer="No reminder is set.")
    said = hit["before"] or hit["after"] or hit["bare"] or ""
    if hit["every"] and not said:
        options = (("yes", tuple(e.outside() for e in map(_drop, waiting))), ("no", ()))
        return Taken(asked=Asked(f"Drop all reminders? {_named(waiting)}.", scene.now, options))
    mine = _meant(said, waiting) if said else waiting
    if not mine:
        return Taken(answer=f"No reminder is about “{said}”. There is: {_named(waiting)}. Nothing was changed.")
    if len(mine) == 1 and (said or len(waiting) == 1):
        return Taken((_drop(mine[0]),), (f"Reminder dropped: {mine[0].text}.",))
    choices = [(_label(t), (_drop(t).outside(),)) for t in mine[:MOST_CHOICES]]
    return Taken(asked=Asked("Drop which reminder?", scene.now, (*choices, ("none", ()))))


def coming(standing: Standing, book: RoomBook, now: dt.datetime) -> list[DueTask]:
    """Every reminder that is still to come or waits, each once, the soonest first."""
    found: dict[tuple[str | None, str | None], DueTask] = {}
    for task in sorted(own_reminders(standing, now, zone_of(standing, book)), key=lambda t: t.due.astimezone(dt.UTC)):
        found.setdefault((task.text, task.place), task)
    return list(found.values())


def shown(standing: Standing, book: RoomBook, now: dt.datetime) -> str:
    """The reminders in the order they come, each with its day, its hour and how often."""
    waiting = coming(standing, book, now)
    if not waiting:
        return "No reminder is set. Say “remind me Thursday at 7 pm to call Ivo”, for instance."
    lines = [f"{_when(t, now)}: {t.text}{_again(t)}" for t in waiting[:MOST_LINES]]
    if len(waiting) > MOST_LINES:
        lines.append(f"… and {len(waiting) - MOST_LINES} more.")
    return "\n".join(lines)


def _when(task: DueTask, now: dt.datetime) -> str:
    day = say.first_up(say.day(task.due, now.date()))
    return f"{day} {task.due:%H:%M}{' (waiting)' if task.due <= now else ''}"


def _again(task: DueTask) -> str:
    often = re.search(r", (every .+)$", task.why)
    return f" ({often[1].replace('every 1 days', 'daily')})" if often else ""


def _meant(said: str, waiting: Sequence[DueTask]) -> list[DueTask]:
    """The reminders some words may mean: those about the same thing, else those that share a telling word."""
    near = [t for t in waiting if same_thing(said, t.text or "")]
    return near or [t for t in waiting if telling_words(said) & telling_words(t.text or "")]


def _drop(task: DueTask) -> TaskDone:
    return TaskDone(task=task.text or "", place=task.place, ends=True)


def _label(task: DueTask) -> str:
    return (task.text or "")[:60]


def _named(tasks: Sequence[DueTask]) -> str:
    more = len(tasks) - MOST_CHOICES
    return "; ".join(_label(t) for t in tasks[:MOST_CHOICES]) + (f"; {more} more" if more > 0 else "")
