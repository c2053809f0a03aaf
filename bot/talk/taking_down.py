"""Taking down: each event of a note booked, read back, cautioned about, or turned into a question."""

from __future__ import annotations

import datetime as dt
import re

from bot import sentences as say
from bot.answers.price_list import as_promised, as_sold
from bot.answers.promises import cancelled
from bot.readback.besides import alarms, notices, window_line
from bot.readback.line import line_for
from bot.readback.told import Booked
from bot.routine import ticking
from bot.talk import questions
from bot.talk.estimates import as_estimated
from bot.talk.questions import Asked
from bot.talk.reminding import says_nothing, to_remember
from bot.talk.replying import Replying
from bot.talk.said_in_full import one_fish
from shared.due.courses import courses_of
from shared.events import (
    BadEggsRemoved,
    BatchOpened,
    Dosed,
    EggsEyed,
    EggsPulled,
    Event,
    FishMoved,
    FishPromised,
    FishSold,
    FryHatched,
    Measured,
    PromiseReleased,
    Remarked,
    ReminderAsked,
    RoutineSet,
    TaskDone,
    TaskPutOff,
)
from shared.husbandry.doses import substance_of
from shared.ledger.accounts import LONG_AGO
from shared.ledger.booking import book as book_event
from shared.ledger.standing import Entry, number_in

TWICE_WITHIN = dt.timedelta(minutes=10)
COUNTED_WITHIN = dt.timedelta(hours=1)  # a mop pulled without a number is counted on the same walk
TWICE_KINDS = ("pull", "death", "hatch", "sale")


def own_time(event: Event) -> bool:
    """Whether the event itself says when it happened."""
    return bool(getattr(event, "date", None) or getattr(event, "time", None))


# When a part of a day is meant, roughly: after what was said of its morning, before what was said of its night.
_PART_OF_DAY = {"morning": dt.time(8), "afternoon": dt.time(15), "evening": dt.time(19), "night": dt.time(21)}
_ALL_BAD = re.compile(r"^(?!.*\b(?:not|nearly|almost|but)\b).*\ball\b", re.IGNORECASE | re.DOTALL)
_ALL_HATCHED = re.compile(r"\ball (?:of (?:them|it|the eggs) |the eggs |eggs )?(?:have |has )?hatched\b", re.IGNORECASE)


class TakingDown(Replying):
    """The events of one message, taken down one after the other."""

    def _at(self, event: Event) -> dt.datetime | None:
        """When it happened; None when that is still to come."""
        date, time = getattr(event, "date", None), getattr(event, "time", None)
        if isinstance(event, FishPromised | ReminderAsked | TaskPutOff):
            return self.now
        if date is None and time is None:
            return self.now
        day = date or self.now.date()
        if time:
            clock = dt.time(int(time[:2]), int(time[3:]))
        elif day == self.now.date():
            return self.now
        else:
            parts = [part for part in _PART_OF_DAY if part in self.message.text.casefold()]
            clock = _PART_OF_DAY[parts[0]] if len(parts) == 1 else dt.time(12)
        at = dt.datetime.combine(day, clock, self.zone)
        if date is None and at > self.now + dt.timedelta(minutes=90):
            at -= dt.timedelta(days=1)
        return at if at <= self.now + dt.timedelta(minutes=90) else None

    def _log(
        self,
        event: Event,
        text: str,
        *,
        at: dt.datetime | None = None,
        sure: bool = False,
        crossed: bool = False,
        again: str | None = None,
    ) -> None:
        """Book one event, or take up what must be asked first; `again` is the batch its first wording had made.

        `sure` that it is no second time; `crossed`: that lines come together is known and wanted.
        """
        event = self._as_worded(event, text, sure=sure)
        if isinstance(event, ReminderAsked) and not self._can_remind(event):
            return
        when = at or self._at(event)
        if when is None:
            self.said.after.append("That day is still to come, so it was not logged; say what day you meant.")
            return
        if not sure and (doubt := self._doubted(event, when)):
            self.said.asked.append(doubt)
            return
        if isinstance(event, PromiseReleased):
            found = cancelled(event, self.standing, self.now)
            if isinstance(found, str):
                self.said.lines.append(found)
                return
            if isinstance(found, Asked):
                self.said.asked.append(found)
                return
            event = found
        event = self._filled_in(event, text)
        if isinstance(event, TaskDone) and not event.ends:
            self._tick_off(event, when, crossed=crossed, again=again)
        else:
            self._enter(event, when, crossed=crossed, again=again)

    def _as_worded(self, event: Event, text: str, *, sure: bool) -> Event:
        """The event with what only its words say: that it is an estimate, what to remember, all the eggs."""
        event = one_fish(as_estimated(event, text), text)
        if isinstance(event, Remarked) and not event.text:
            return event.model_copy(update={"text": text})
        if isinstance(event, ReminderAsked) and text and not (sure and event.text):
            return event.model_copy(update={"text": to_remember(text)})
        if isinstance(event, FryHatched) and event.count is None and _ALL_HATCHED.search(text):
            return event.model_copy(update={"count": self._eggs_of(event)})
        if isinstance(event, BadEggsRemoved) and event.count is None and _ALL_BAD.search(text):
            return event.model_copy(update={"count": self._eggs_of(event)})
        return event

    def _can_remind(self, event: ReminderAsked) -> bool:
        """Whether a reminder says of what and when; a missing day is asked for."""
        if says_nothing(event.text):
            self.said.lines.append("Remind you of what, and when? Like “remind me Friday to call Ivo”. Nothing is set.")
            return False
        if not own_time(event) and not (event.every_days or event.month_day):
            self.said.asked.append(questions.when_to_remind(event, self.now))
            return False
        return True

    def _doubted(self, event: Event, when: dt.datetime) -> Asked | None:
        """What is asked first of something long ago, or much like what was just logged."""
        if own_time(event) and self.now - when > LONG_AGO:
            return questions.long_ago(event, when, self.now)
        if self._twice(event, when):
            return questions.a_second_time(event, self.now)
        if isinstance(event, EggsPulled) and (blank := self._not_counted_then(event, when)):
            return questions.that_pull(event, blank, self.now)
        return None

    def _filled_in(self, event: Event, text: str) -> Event:
        """The event with what the room's own record adds: prices, the tub of a dose, a batch name that is free."""
        if isinstance(event, FishPromised):
            return as_promised(event, text, self.info)
        if isinstance(event, FishSold):
            return as_sold(event, text, self.standing)
        if isinstance(event, Dosed) and not (event.place or event.places or event.batch):
            return self._dose_place(event)
        if isinstance(event, BatchOpened) and event.batch in self.standing.batches:  # its name was given meanwhile
            return event.model_copy(update={"batch": self.standing.next_batch_name()})
        return event

    def _tick_off(self, event: TaskDone, when: dt.datetime, *, crossed: bool, again: str | None) -> None:
        """A task done, said with what of it is left; or that it was done already."""
        ready = ticking.ready_for(event, self.standing, self.book, self.now)
        known = ticking.already(event, when, ready, self.standing, self.book, self.now)
        if known:
            self.said.lines.append(known)
        elif self._enter(event, when, crossed=crossed, again=again):
            left = ticking.ready_for(event, self.standing, self.book, self.now)
            self.said.lines[-1] = ticking.line_of_doing(event, when, ready, left, self.now)

    def _enter(self, event: Event, when: dt.datetime, *, crossed: bool, again: str | None) -> bool:
        """Book it, say so and ask what the booking asks; whether anything was entered."""
        standing = self.standing
        if again and number_in(again) and again not in standing.batches:  # its name stands on a label by now
            standing = standing.model_copy(update={"last_batch": number_in(again) - 1})
        booking = book_event(event, when, standing)
        if not crossed and (asked := questions.before_crossing(event, booking, when)):
            self.said.asked.append(asked)
            return False
        entries = tuple(self.turn.enter(d) for d in booking.drafts)
        if entries:
            self._tell(Booked(event, booking, entries))
        if booking.question:
            self.said.asked.append(questions.of_booking(booking.question, when, self.standing))
        return bool(entries)

    def _dose_place(self, event: Dosed) -> Dosed:
        """Drops said right after eggs went into a tub, or egg water was changed, went into that tub."""
        spots = [
            e["to"] if e.get("to") else e.get("place")
            for e in self.said.events
            if e["kind"] in ("pull", "water_change")
        ]
        for told in self.said.events:
            if told["kind"] == "water_change":
                return event.model_copy(update={"places": tuple(told["places"])})
        known = [s for s in spots if s and self.standing.eggs_at(s)]
        return event.model_copy(update={"place": known[-1]}) if known else event

    def _eggs_of(self, event: FryHatched | BadEggsRemoved) -> int | None:
        """How many eggs stand where all are said to have hatched or to be bad, when one counted lot does."""
        spots = (*event.spots, event.batch)
        held = [h for h in self.standing.holdings.values() if h.stage == "eggs" and {h.place, h.group} & set(spots)]
        return held[0].count if len(held) == 1 and held[0].counted else None

    def _twice(self, event: Event, at: dt.datetime) -> bool:
        """Whether the same was logged by an earlier message within minutes."""
        if event.kind not in TWICE_KINDS:
            return False
        named = (*getattr(event, "spots", ()), getattr(event, "batch", None), getattr(event, "line", None))
        near = self.book.entries(
            name=next(filter(None, named), None),
            kinds=(event.kind,),
            since=at - TWICE_WITHIN,
            until=at + TWICE_WITHIN,
        )
        return any(e.event == event and e.message != self.turn.message_id for e in near)

    def _not_counted_then(self, event: EggsPulled, at: dt.datetime) -> Entry | None:
        """The pull of the same mop within the hour that had no number, where this one has."""
        if not event.count or not event.place:
            return None
        near = self.book.entries(name=event.place, kinds=("pull",), since=at - COUNTED_WITHIN, until=at)
        mine = [e for e in near if isinstance(e.event, EggsPulled) and e.message != self.turn.message_id]
        return mine[-1] if mine and mine[-1].event.model_dump().get("count") is None else None

    def _tell(self, booked: Booked) -> None:
        said, event, entries = self.said, booked.event, booked.entries
        said.alarms += [a for a in alarms(booked, self.info) if a not in said.alarms]
        said.lines.append(line_for(booked, self.standing, self.info, self.now))
        told = {**event.outside(), "id": entries[0].seq, "at": entries[0].at.astimezone(self.zone).isoformat()}
        if entries[0].batch:
            told.setdefault("batch", entries[0].batch)
        said.events.append(told)
        batch = entries[0].batch
        if isinstance(event, FishMoved) and batch:
            self._no_tub_wanted(batch)
        if batch and isinstance(event, EggsPulled | BadEggsRemoved | EggsEyed | BatchOpened):
            window = window_line(self.standing, batch, self.now, self.info)
            if window and window not in said.after:
                said.after.append(window)
        said.after += [n for n in notices(booked) if n not in said.after]
        if isinstance(event, EggsPulled) and event.count != 0 and not (event.to or event.medium) and batch:
            said.asked.append(questions.which_tub(batch, self.standing, self.now))
        if isinstance(event, Dosed):
            self._caution_dose(event, entries)
        if isinstance(event, FishSold) and not self._known("sale"):
            said.cautions.append(say.SHIPPING)
        if isinstance(event, Measured) and any("heater" in a for a in said.alarms) and not said.cautions:
            said.cautions.append(say.ELECTRICITY)

    def _no_tub_wanted(self, batch: str) -> None:
        """Which tub its eggs went to is asked no longer once all of them stand somewhere."""
        if any(not h.place and (h.count or not h.counted) for h in self.standing.of_group(batch)):
            return
        for kept in self.turn.open_questions(self.message.person, self.message.chat):
            doubt = kept.body.get("doubt") or {}
            partial = doubt.get("partial") or {}
            if doubt.get("missing") == "to" and partial.get("stage") == "eggs" and partial.get("batch") == batch:
                self.turn.settle(kept.id)

    def _known(self, kind: str) -> bool:
        """Whether this person has logged such a thing within a year before this message."""
        since = self.now - dt.timedelta(days=365)
        person = self.message.person
        before = self.book.entries(
            kinds=(kind,), person=person, since=since, limit=2, newest_first=True, include_retracted=True
        )
        return any(e.message != self.turn.message_id for e in before)

    def _caution_dose(self, event: Dosed, entries: tuple[Entry, ...]) -> None:
        """The caution the first time with a substance, and when fry stand where it went."""
        substance = event.substance or "peroxide"
        first = self.dosed_before.get(f"{self.message.person}|{substance}") is None
        fry = [e.place for e in entries if e.place and any(h.stage == "fry" for h in self.standing.at_place(e.place))]
        first = first and not self._in_a_course(substance)
        if first and (caution := say.caution_for(substance)) and caution not in self.said.cautions:
            self.said.cautions.append(caution)
        if fry and substance == "peroxide":
            self.said.cautions.append(f"Fry are in {say.places(fry)}: no more peroxide there once fry are seen.")

    def _in_a_course(self, substance: str) -> bool:
        """Whether this person began a course of it before, and was told the caution then."""
        person = self.message.person
        said = self.book.entries(kinds=("setting",), person=person, limit=100, newest_first=True)
        begun = [c for e in said if isinstance(e.event, RoutineSet) for c in courses_of(e.event, e.said)]
        return any(c.substance == substance_of(substance) for c in begun)
