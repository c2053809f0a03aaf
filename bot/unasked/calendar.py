"""Dated work as a calendar to subscribe to: hatches, promises, reminders and fish to be moved (RFC 5545)."""

from __future__ import annotations

import datetime as dt
import uuid
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from bot import sentences as say
from shared.due.tasks import TWO_HOURS, DueTask
from shared.events import ReminderAsked
from shared.hatching.forecast import forecast, hatches, known
from shared.ledger.standing import Standing
from storage.journal import RoomBook

NO_CALENDAR = "A calendar needs icalendar: pip install 'roomhand[calendar]'."
PRODUCT = "-//roomhand//dated work//EN"
_OURS = uuid.UUID("6f1d1c8e-3c0b-4f0e-9d57-2f6a1b7c9e40")  # any fixed number: what the ids of our events grow from
# Work that has a day of its own; chores of every day would drown a calendar.
DATED = {"move_up": "Move up", "wet_peat": "Wet peat", "promised": "Promised", "reminder": "Remember"}
ONE_DAY, QUARTER_HOUR = dt.timedelta(days=1), dt.timedelta(minutes=15)


@dataclass(frozen=True)
class _Dated:
    """One thing with a date: whole days from `first` to `last`, or an hour of one day."""

    key: str  # what it is, the same for as long as it is the same thing
    title: str
    first: dt.date
    last: dt.date
    note: str = ""
    at: dt.datetime | None = None


def calendar_feed(
    standing: Standing, book: RoomBook, now: dt.datetime, days: int = 60, tasks: Sequence[DueTask] | None = None
) -> bytes:
    """Dated work until `days` ahead as an iCalendar. `now` is aware; `tasks` by default what is due until then.

    An event keeps its id from one feed to the next, so a calendar that takes it again changes and does not double.
    Raises ModuleNotFoundError without icalendar (NO_CALENDAR says what to install).
    """
    import icalendar

    zone = book.info.zone
    end = now.astimezone(zone).date() + dt.timedelta(days=days)
    if tasks is None:
        from bot.routine.chores import due_list

        tasks = due_list(standing, book, now, days=days)
    calendar = icalendar.Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("name", book.info.name)  # RFC 7986
    calendar.add("x-wr-calname", book.info.name)  # the same for programs older than it
    seen: Counter[str] = Counter()
    for dated in (*_hatch_windows(standing, book, now), *_work(standing, tasks)):
        if dated.first >= end:
            continue
        seen[dated.key] += 1
        key = f"{dated.key} {seen[dated.key]}" if seen[dated.key] > 1 else dated.key
        event = icalendar.Event()
        event.add("uid", str(uuid.uuid5(_OURS, f"{book.info.id} {key}")))
        event.add("dtstamp", now.astimezone(dt.UTC).replace(microsecond=0))
        event.add("summary", dated.title)
        if dated.note:
            event.add("description", dated.note)
        if dated.at is None:
            event.add("dtstart", dated.first)
            event.add("dtend", dated.last + ONE_DAY)  # the day after: an end is not part of the event
            event.add("transp", "TRANSPARENT")
        else:
            # in UTC, so that no time zone need be described; what repeats is listed time by time
            event.add("dtstart", dated.at.astimezone(dt.UTC))
            event.add("duration", QUARTER_HOUR)
        calendar.add_component(event)
    if not calendar.events:
        # a calendar with nothing in it is none by the standard; the room's time zone may stand in it alone
        calendar.add_component(icalendar.Timezone.from_tzinfo(zone))
    return bytes(calendar.to_ical())


def _hatch_windows(standing: Standing, book: RoomBook, now: dt.datetime) -> Iterator[_Dated]:
    zone, so_far = book.info.zone, known(standing, now)
    for name in dict.fromkeys(h.group for h in standing.holdings.values() if h.stage == "eggs"):
        batch = standing.batches.get(name)
        seen = forecast(standing, name, now, so_far) if batch and hatches(batch) else None
        if batch is None or seen is None:
            continue
        spots = [h.place for h in standing.of_group(name) if h.stage == "eggs" and h.place]
        where = f" in {say.places(spots)}" if spots else ""
        if seen.first_fry and seen.half_hatched and seen.last_fry and not seen.past_window:
            half, last = seen.half_hatched, seen.last_fry
            yield _Dated(
                f"hatch {name}",
                f"{name} {batch.line}: fry expected{where}",
                seen.first_fry.p10.astimezone(zone).date(),
                seen.first_fry.p90.astimezone(zone).date(),
                f"First fry, 80 % window. Half by {say.span(half.p10, half.p90, zone)}, "
                f"last {say.span(last.p10, last.p90, zone)}. {seen.basis}.",
            )
        elif seen.earliest:
            day = (seen.usual[0] if seen.usual else seen.earliest).astimezone(zone).date()
            early = "usually ready from today on" if seen.usual else "not ready before today"
            note = "Look first: ready eggs have eyes ringed with gold (common practice, no source)."
            yield _Dated(f"earliest {name}", f"{name} {batch.line}: {early}{where}", day, day, note)


def _work(standing: Standing, tasks: Sequence[DueTask]) -> Iterator[_Dated]:
    for task in tasks:
        if task.task not in DATED:
            continue
        what = task.text or " ".join(n for n in (task.batch, task.line) if n) or task.place or "fish"
        where = f", {task.place}" if task.place and task.place not in what else ""
        title = what[:1].upper() + what[1:] if task.task == "reminder" else f"{DATED[task.task]}: {what}"
        # why a promise or a reminder stands there is said in words like "today", which would be wrong tomorrow
        why = None if task.task in ("promised", "reminder") else task.why
        note = " ".join(f"{t[:1].upper()}{t[1:]}." for t in (why, task.how) if t)
        day = task.due.date()
        at = task.due if task.grace <= TWO_HOURS else None
        yield _Dated(_key(standing, task), f"{title}{where}", day, day, note, at)


def _key(standing: Standing, task: DueTask) -> str:
    """What a task is, whenever it is due; each time of what repeats is a thing of its own."""
    for kept in standing.reminders:
        asked = kept.event
        if isinstance(asked, ReminderAsked) and (asked.text, asked.place, asked.batch) == (
            task.text,
            task.place,
            task.batch,
        ):
            return f"reminder {kept.seq}" + (
                f" {task.due:%Y-%m-%d %H:%M}" if asked.every_days or asked.month_day else ""
            )
    return " ".join((task.task, task.place or "", task.batch or "", task.text or ""))
