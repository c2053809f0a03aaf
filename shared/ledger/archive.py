"""What a standing lets go of, so that it stays as large as the room and not as the years: the journal keeps it all."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from shared.due.tasks import same_thing, tasks_meant, tasks_said
from shared.events import FishPromised, ReminderAsked, RoutineSet, TaskPutOff
from shared.ledger.accounts import ARCHIVED_AFTER, LONG_AGO, Kept

if TYPE_CHECKING:
    from shared.ledger.standing import Standing

LOOKED_OVER_EVERY = 256  # entries from one look at the batches to the next
ALL_LOOKED_OVER_EVERY = 4096  # and at everything else


def let_go(standing: Standing, now: dt.datetime, *, everything: bool) -> None:
    """Let go of batches that are over and, with `everything`, of all else that nothing will ask for again."""
    _batches(standing, now)
    if everything:
        _names(standing, now - LONG_AGO)
        _reminders(standing, now)
        _put_off(standing, now)
        _done(standing, now)
        _settings(standing, now - LONG_AGO)


def _batches(standing: Standing, now: dt.datetime) -> None:
    """Batches with nothing alive that nobody has touched for long."""
    alive = {h.group for h in standing.holdings.values()}
    for name, batch in list(standing.batches.items()):
        if name not in alive and now - batch.touched > ARCHIVED_AFTER:
            del standing.batches[name]


def _known(standing: Standing) -> set[str]:
    return {*standing.places, *standing.batches, *standing.cultures, *(h.place for h in standing.holdings.values())}


def _names(standing: Standing, before: dt.datetime) -> None:
    """Chores, readings and stays of places nobody set up and batches long gone."""
    known = _known(standing)
    for place in [place for place in standing.chores if place not in known]:
        chores = standing.chores[place]
        for what in [what for what, chore in chores.items() if chore.last is None or chore.last < before]:
            del chores[what]
        if not chores:
            del standing.chores[place]
    for place in [place for place in standing.readings if place not in known]:
        readings = standing.readings[place]
        for quantity in [quantity for quantity, kept in readings.items() if not len(kept) or kept.at[-1] < before]:
            del readings[quantity]
        if not readings:
            del standing.readings[place]
    for place, stays in list(standing.stays.items()):
        if place not in known and all(stay.until and stay.until < before for stay in stays):
            del standing.stays[place]


def _reminders(standing: Standing, now: dt.datetime) -> None:
    """Those for once that were answered, and those of batches that are gone."""

    def over(kept: Kept) -> bool:
        asked = kept.event
        if not isinstance(asked, ReminderAsked) or asked.every_days:
            return False
        if asked.batch and asked.batch not in standing.batches and now - kept.said > ARCHIVED_AFTER:
            return True
        day = max(asked.date or kept.said.date(), kept.said.date())
        if asked.place and tasks_meant(asked.text) and now.date() - day > LONG_AGO:  # done since as the chore it means
            return True
        return any(
            kept.said <= at < now - ARCHIVED_AFTER and same_thing(key.rpartition("|")[0], asked.text)
            for key, at in standing.done.items()
        )

    standing.reminders = [kept for kept in standing.reminders if not over(kept)]


def _put_off(standing: Standing, now: dt.datetime) -> None:
    """Chores put off until a day long gone; what was put off in other words waits until it is done."""

    def over(kept: Kept) -> bool:
        put = kept.event
        assert isinstance(put, TaskPutOff)
        day = max(put.date or kept.said.date(), kept.said.date())
        return now.date() - day > ARCHIVED_AFTER and bool(tasks_said(put.task, bool(put.place or put.batch)))

    standing.put_off = [kept for kept in standing.put_off if not over(kept)]


def _done(standing: Standing, now: dt.datetime) -> None:
    """What was said to be done, when it can answer nothing any more.

    Of a batch that is gone, or in words for no chore: after a while; of a chore everywhere: when it is long ago.
    """
    known = _known(standing)
    asked: list[str] = []
    for kept in (*standing.reminders, *standing.put_off, *standing.promises):
        match kept.event:
            case ReminderAsked() as one:
                asked.append(one.text)
            case TaskPutOff() as one:
                asked.append(one.task)
            case FishPromised() as one:
                fish = f"{one.count or ''} {one.line or one.batch or 'fish'}"
                asked += [fish, f"{fish} for {one.buyer}", *([one.buyer] if one.buyer else [])]
    for key, at in list(standing.done.items()):
        words, _, where = key.rpartition("|")
        if where and where in known:
            continue
        useful = LONG_AGO if not where and tasks_meant(words) else ARCHIVED_AFTER
        if now - at > useful and not any(same_thing(words, text) or same_thing(text, words) for text in asked):
            del standing.done[key]


def _settings(standing: Standing, before: dt.datetime) -> None:
    """Those said anew long ago, and those of batches that are gone."""
    told_anew: set[str] = set()
    left: list[Kept] = []
    for kept in reversed(standing.settings):
        said = kept.event
        assert isinstance(said, RoutineSet)
        of_value = said.value if isinstance(said.value, str) else None  # in “off: feeding” the value says of what
        about = said.model_copy(update={"value": of_value}).model_dump_json()
        if about in told_anew or (said.batch and said.batch not in standing.batches and kept.said < before):
            continue
        if kept.said < before:
            told_anew.add(about)
        left.append(kept)
    standing.settings = left[::-1]
