"""One message in, one reply out: `hear` knows no channel and no clock.

The message, what it logs and the reply are kept in one transaction; a repeated delivery gets the same reply.
"""

from __future__ import annotations

import datetime as dt
import re
from collections import OrderedDict
from dataclasses import dataclass, field, replace
from typing import Any

from bot import questions
from bot import sentences as say
from bot.answers import Answer, answer
from bot.corrections import correct, take_back
from bot.language import Names, Query, Reader, Reading
from bot.questions import Asked
from bot.readback import Booked, alarms, line_for, notices, window_line
from bot.settling import declared, unheard_of
from shared.booking import Question
from shared.booking import book as book_event
from shared.events import (
    BadEggsRemoved,
    Corrected,
    Dosed,
    EggsEyed,
    EggsPulled,
    Event,
    FishPromised,
    FishSold,
    Measured,
    Remarked,
    ReminderAsked,
    TaskPutOff,
    Undone,
    event_from,
)
from shared.ledger import Entry, Standing
from shared.room import BatchCard, LineCard, PlaceCard, RoomCard
from storage.engine import RoomInfo
from storage.journal import KeptReply, Message, RoomBook, Turn

MOST_CHARACTERS = 5_000
TWICE_WITHIN = dt.timedelta(minutes=10)
TWICE_KINDS = ("pull", "death", "hatch", "sale")
MOST_LINES = 8
_AND = re.compile(r"^\s*(?:and|also|plus|same for)\b[\s,:]*", re.IGNORECASE)
_GOES_ON = {  # what to put before “12 from tank 5” after a note of that kind
    "pull": "pulled",
    "bad_eggs": "bad eggs",
    "death": "dead",
    "hatch": "hatched",
    "water_change": "water changed",
    "feed": "fed",
    "headcount": "counted",
}
_WHY = frozenset(("why", "why is that", "says who", "how do you know", "what is that based on"))


@dataclass(frozen=True)
class Reply:
    """What goes back: the words, the choices to tap, and what a program is told."""

    text: str
    outcome: str = "none"
    events: tuple[dict[str, Any], ...] = ()
    options: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    picture: bytes | None = None
    why: tuple[str, ...] = ()  # what the figures in it rest on, for whoever asks
    asking: int | None = None  # the question it ends with

    def payload(self) -> dict[str, Any]:
        """The JSON form of `roomhand say --json`."""
        return {
            "reply": self.text,
            "outcome": self.outcome,
            "events": list(self.events),
            "options": list(self.options),
            "cautions": list(self.cautions),
        }


def _again(kept: KeptReply) -> Reply:
    told = kept.payload
    return Reply(
        kept.text,
        told.get("outcome", "none"),
        tuple(told.get("events", ())),
        tuple(told.get("options", ())),
        tuple(told.get("cautions", ())),
        why=tuple(told.get("why", ())),
        asking=told.get("asking"),
    )


def hear(book: RoomBook, message: Message, *, about: str | None = None, edited: str | None = None) -> Reply:
    """Take one message in and say what goes back.

    `about`: the delivery id of the message this one replies to; `edited`: of the message it is the new wording of.
    """
    with book.turn(message) as turn:
        if turn.earlier is not None:
            return _again(turn.earlier)
        reply = _Conversation(book, turn, message).respond(about=about, edited=edited)
        turn.reply(reply.text, {**reply.payload(), "why": list(reply.why), "asking": reply.asking}, reply.outcome)
        return reply


# ---- what the reader knows of the room

_READERS: OrderedDict[tuple[Any, ...], Reader] = OrderedDict()


def card_of(standing: Standing, book: RoomBook) -> RoomCard:
    """The room as it stands now, in the form of a card."""
    info = book.info
    places = [
        PlaceCard(name=p.name, kind=p.kind, volume=_volume(p.litres, info), role=p.role, line=p.line)
        for p in standing.places.values()
        if not p.closed
    ]
    spots: dict[str, str] = {}
    batches: list[BatchCard] = []
    for held in standing.holdings.values():
        batch = standing.batches.get(held.group)
        if batch and (batch.name not in spots or held.stage != "eggs"):
            spots[batch.name] = held.place
            batches = [b for b in batches if b.name != batch.name]
            batches.append(
                BatchCard(name=batch.name, line=batch.line, stage=held.stage, place=held.place or "", count=held.number)
            )
    return RoomCard(
        name=info.name,
        timezone=info.timezone,
        units="us" if info.units == "us" else "metric",
        gallon="imperial" if info.gallon == "imperial" else "us",
        date_order="dm" if info.date_order == "dm" else ("md" if info.date_order == "md" else None),
        members=tuple(p.name for p in book.people() if p.name),
        lines=tuple(
            LineCard(name=line.name, species=line.species, eggs=line.eggs, aka=tuple(line.aka))
            for line in standing.lines.values()
        ),
        places=tuple(places),
        batches=tuple(batches),
        cultures=tuple(standing.cultures),
        words=dict(standing.words),
    )


def _volume(litres: float | None, info: RoomInfo) -> str | None:
    """A volume as it would be written on a card, so that “the 5.5” finds its tank."""
    return say.volume(litres, info.units, info.gallon) if litres else None


def reader_for(book: RoomBook, standing: Standing) -> Reader:
    """A reader that knows the room's names; made anew only when a name changed."""
    names = (
        book.info,
        tuple((p.name, p.role, p.line, p.closed) for p in standing.places.values()),
        tuple(standing.lines),
        tuple(standing.cultures),
        tuple(standing.words.items()),
        tuple((h.group, h.place, h.stage) for h in standing.holdings.values()),
    )
    found = _READERS.get(names)
    if found is None:
        found = _READERS[names] = Reader(Names.of(card_of(standing, book)))
        while len(_READERS) > 8:
            _READERS.popitem(last=False)
    _READERS.move_to_end(names)
    return found


def _own_time(event: Event) -> bool:
    """Whether the event itself says when it happened."""
    return bool(getattr(event, "date", None) or getattr(event, "time", None))


# ---- one turn of talk


@dataclass
class _Said:
    """What gathers up to be the reply."""

    alarms: list[str] = field(default_factory=list)
    lines: list[str] = field(default_factory=list)
    after: list[str] = field(default_factory=list)
    cautions: list[str] = field(default_factory=list)
    events: list[dict[str, Any]] = field(default_factory=list)
    asked: list[Asked] = field(default_factory=list)
    answers: list[Answer] = field(default_factory=list)
    settled: bool = False  # this message answered a question


class _Conversation:
    def __init__(self, book: RoomBook, turn: Turn, message: Message) -> None:
        self.book, self.turn, self.message = book, turn, message
        self.info, self.zone = book.info, book.info.zone
        self.now = message.sent.astimezone(self.zone)
        self.said = _Said()
        self.dosed_before = dict(turn.standing.dosed_by)
        person = book.person(message.person)
        self.may_log = person is None or person.role != "viewer"

    @property
    def standing(self) -> Standing:
        return self.turn.standing

    def respond(self, *, about: str | None, edited: str | None) -> Reply:
        text = self.message.text
        if not text.strip():
            return Reply("That message was empty; nothing was logged.")
        if len(text) > MOST_CHARACTERS:
            return Reply(f"That is more than {MOST_CHARACTERS} characters; nothing was logged. Send it in parts.")
        if edited:
            return self._follow_edit(edited)
        if text.strip(" ?!.").casefold() in _WHY:
            return self._why()
        reader = reader_for(self.book, self.standing)
        if self.may_log and self._settle(reader, text):
            return self._reply("log")
        places = declared(text, self.standing, self.info.gallon) if self.may_log else None
        if places:
            return self._set_up(places)
        reading = self._read(reader, text)
        if about and reading.events and isinstance(reading.events[0], Corrected):
            return self._correct(reading.events[0], self.turn.entries_of_delivery(self.message.door, about))
        return self._take(reading, text)

    def _told_before(self) -> list[dict[str, Any]]:
        """What was answered to this person in this chat, newest first."""
        kept = self.book.messages(person=self.message.person, limit=12, newest_first=True)
        return [
            m.reply.payload for m in kept if m.reply and m.chat == self.message.chat and m.id != self.turn.message_id
        ]

    def _why(self) -> Reply:
        """What the last answer in this chat rested on."""
        for told in self._told_before():
            why = told.get("why")
            if why:
                return Reply("\n".join(why), "answer", why=tuple(why))
        return Reply("There is no figure of mine to explain just now.", "answer")

    def _read(self, reader: Reader, text: str) -> Reading:
        """The reader's reading; a bare name asks how it stands, and “and 12 from tank 5” goes on from the last note."""
        new = unheard_of(text, self.standing) if self.may_log else []
        if new:
            card = card_of(self.standing, self.book)
            places = (*card.places, *(PlaceCard(name=n, kind=n.split()[0]) for n in new))
            reading = Reader(Names.of(card.model_copy(update={"places": places}))).read(text, self.now)
            if reading.events:
                self._offer_places(new, reading)
                return Reading("ask")
        reading = reader.read(text, self.now)
        bare = " ".join(text.split()).strip(" .?!")
        if not [e for e in reading.events if not isinstance(e, Remarked)] and not reading.query:
            names = {n.casefold(): n for n in (*self.standing.places, *self.standing.batches)}
            name = names.get(bare.casefold())
            if name:
                about = "batch" if name in self.standing.batches else "place"
                query = Query(about, batch=name) if about == "batch" else Query(about, place=name)
                return Reading("answer", query=query)
        if _AND.match(text) and reading.outcome in ("ask", "none", "log") and not reading.query:
            return self._goes_on(reader, _AND.sub("", text, count=1)) or reading
        return reading

    def _offer_places(self, new: list[str], reading: Reading) -> None:
        """The first note of a place nobody has set up: offered in one tap, nothing logged before."""
        events = [{"kind": "new_place", "place": n} for n in new] + [e.outside() for e in reading.events]
        text = f"There is no {say.listed(new)} yet. Set up and log this?"
        self.said.asked.append(Asked(text, self.now, (("yes", tuple(events)), ("no", ()))))

    def _goes_on(self, reader: Reader, rest: str) -> Reading | None:
        """The rest read as more of what the last note logged, where that leaves no doubt."""
        last = [e for e in self._last_entries() if e.event.kind in _GOES_ON]
        if not last or self.now - last[-1].said > dt.timedelta(hours=1):
            return None
        kind = last[-1].event.kind
        again = reader.read(f"{_GOES_ON[kind]} {rest}", self.now)
        if again.doubts or not again.events or any(e.kind != kind for e in again.events):
            return None
        return again

    def _set_up(self, places: list[dict[str, Any]]) -> Reply:
        """Places and lines said in one go, read back by size and role."""
        for raw in places:
            self._log(event_from(raw), "", sure=True)
        told: dict[str, list[str]] = {}
        for raw in places:
            if raw["kind"] == "new_place":
                size = say.volume(raw["litres"], self.info.units, self.info.gallon) if raw.get("litres") else ""
                traits = ", ".join(t for t in (size, raw.get("role") or "", raw.get("line") or "") if t)
                told.setdefault(traits, []).append(raw["place"])
        self.said.lines = ["Set up:"] + [
            f"{say.places(names)}{f' ({traits})' if traits else ''}" for traits, names in told.items()
        ]
        if not any(p.line for p in self.standing.places.values()):
            self.said.after.append("Say which fish stand where, like “tanks 2 and 3 gardneri”.")
        return self._reply("log")

    # ---- a note

    def _take(self, reading: Reading, text: str) -> Reply:
        if not self.may_log and (reading.events or reading.doubts):
            return Reply("You can look but not log here; ask the owner to make you a helper. Nothing was logged.")
        for event in reading.events:
            match event:
                case Undone():
                    return self._undo()
                case Corrected():
                    reply = self._correct(event, self._last_entries())
                    if len(reading.events) == 1:
                        return reply
                case _:
                    self._log(event, text)
        for doubt in reading.doubts:
            self.said.asked.append(questions.of_doubt(doubt, self.now, self.standing))
        if reading.query:
            found = answer(reading.query, self.standing, self.book, self.now, self.message)
            self.said.answers.append(found)
        return self._reply(reading.outcome)

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
            clock = dt.time(12)
        at = dt.datetime.combine(day, clock, self.zone)
        if date is None and at > self.now + dt.timedelta(minutes=90):
            at -= dt.timedelta(days=1)
        return at if at <= self.now + dt.timedelta(minutes=90) else None

    def _log(self, event: Event, text: str, *, at: dt.datetime | None = None, sure: bool = False) -> None:
        """Book one event, or take up what must be asked first."""
        if isinstance(event, Remarked) and not event.text:
            event = event.model_copy(update={"text": text})
        when = at or self._at(event)
        if when is None:
            self.said.after.append("That day is still to come, so it was not logged; say what day you meant.")
            return
        if not sure and self._twice(event, when):
            self.said.asked.append(questions.a_second_time(event, self.now, self.zone))
            return
        if isinstance(event, Dosed) and not (event.place or event.places or event.batch):
            event = self._dose_place(event)
        booking = book_event(event, when, self.standing)
        entries = tuple(
            self.turn.append(
                d.event,
                at=d.at,
                postings=d.postings,
                batch=d.batch,
                place=d.place,
                line=d.line,
                laid_from=d.laid_from,
                laid_to=d.laid_to,
                joins=d.joins,
            )
            for d in booking.drafts
        )
        if entries:
            self._tell(Booked(event, booking, entries))
        if booking.question:
            self._ask(booking.question, when)

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

    def _twice(self, event: Event, at: dt.datetime) -> bool:
        """Whether the same was logged by an earlier message within minutes."""
        if event.kind not in TWICE_KINDS:
            return False
        near = self.book_entries(event.kind, at - TWICE_WITHIN, at + TWICE_WITHIN)
        return any(e.event == event and e.message != self.turn.message_id for e in near)

    def book_entries(self, kind: str, since: dt.datetime, until: dt.datetime) -> list[Entry]:
        return self.book.entries(kinds=(kind,), since=since, until=until)

    def _tell(self, booked: Booked) -> None:
        said, event, entries = self.said, booked.event, booked.entries
        said.alarms += [a for a in alarms(booked, self.info) if a not in said.alarms]
        said.lines.append(line_for(booked, self.standing, self.info, self.now))
        told = {**event.outside(), "id": entries[0].seq, "at": entries[0].at.astimezone(self.zone).isoformat()}
        if entries[0].batch:
            told.setdefault("batch", entries[0].batch)
        said.events.append(told)
        batch = entries[0].batch
        if batch and isinstance(event, EggsPulled | BadEggsRemoved | EggsEyed):
            window = window_line(self.standing, batch, self.now, self.zone)
            if window and window not in said.after:
                said.after.append(window)
        said.after += [n for n in notices(booked) if n not in said.after]
        if isinstance(event, EggsPulled) and event.count != 0 and not event.to and batch:
            said.asked.append(questions.which_tub(batch, self.standing, self.now))
        if isinstance(event, Dosed):
            self._caution_dose(event, entries)
        if isinstance(event, FishSold) and not self._known("sale"):
            said.cautions.append(say.SHIPPING)
        if isinstance(event, Measured) and any("heater" in a for a in said.alarms) and not said.cautions:
            said.cautions.append(say.ELECTRICITY)

    def _known(self, kind: str) -> bool:
        """Whether this person has logged such a thing before this message."""
        before = self.book.entries(kinds=(kind,), person=self.message.person, limit=2)
        return any(e.message != self.turn.message_id for e in before)

    def _caution_dose(self, event: Dosed, entries: tuple[Entry, ...]) -> None:
        """The caution the first time with a substance, and when fry stand where it went."""
        substance = event.substance or "peroxide"
        first = self.dosed_before.get(f"{self.message.person}|{substance}") is None
        fry = [e.place for e in entries if e.place and any(h.stage == "fry" for h in self.standing.at_place(e.place))]
        if first:
            self.said.cautions.append(say.caution_for(substance))
        if fry and substance == "peroxide":
            self.said.cautions.append(f"Fry are in {say.places(fry)}: no more peroxide there once fry are seen.")

    def _ask(self, question: Question, at: dt.datetime) -> None:
        self.said.asked.append(questions.of_booking(question, at, self.standing))

    # ---- answers to what was asked

    def _settle(self, reader: Reader, text: str) -> bool:
        """Take the message as the answer to an open question, if it is one."""
        waiting = self.turn.open_questions(self.message.person, self.message.chat)
        if not waiting:
            return False
        asking = next((told.get("asking") for told in self._told_before()), None)
        for kept in reversed(waiting):
            asked = Asked.of(kept.body)
            if self.now - kept.asked_at > questions.OPEN_FOR:
                continue
            # Words of one's own answer only what was asked just now; the name of a choice answers it later too.
            found = questions.settle(asked, text, reader, self.now, just_asked=kept.id == asking)
            if found is None:
                continue
            self.turn.settle(kept.id)
            self.said.settled = True
            if not found.events and not found.doubts:
                self.said.lines.append("Kept apart." if text.casefold().strip(" .!") == "apart" else "Left as it is.")
            for event in found.events:
                self._log(event, text, at=asked.at_for(event, self.now), sure=True)
            for doubt in found.doubts:
                self.said.asked.append(questions.of_doubt(doubt, self.now))
            return True
        return False

    # ---- taking back and mending

    def _last_entries(self) -> list[Entry]:
        found = self.turn.last_message_with_entries(
            self.message.person, self.message.chat, self.now - dt.timedelta(hours=24)
        )
        return found[1] if found else []

    def _undo(self) -> Reply:
        entries = self._last_entries()
        if not entries:
            return Reply("There is nothing of yours from the last day to take back.", "none")
        told, done = take_back(entries, self.turn, self.standing, self.info, self.now)
        if done:
            self._close_questions(entries[0].message)
            self.said.events.append({"kind": "undo"})
        self.said.lines.append(told)
        return self._reply("log" if done else "ask")

    def _close_questions(self, message: int) -> None:
        for kept in self.turn.open_questions(self.message.person, self.message.chat):
            if kept.body.get("message") == message:
                self.turn.settle(kept.id)

    def _correct(self, event: Corrected, entries: list[Entry]) -> Reply:
        found = correct(event, entries, self.turn, self.standing)
        if isinstance(found, str):
            return Reply(found, "ask")
        old, fixed = found
        self._close_questions(old.message)
        self.said.lines.append("Mended.")
        self.said.events.append(event.outside())
        self._log(fixed, "", at=self._at(fixed) if _own_time(fixed) else old.at, sure=True)
        return self._reply("log")

    def _follow_edit(self, delivery: str) -> Reply:
        """The entry follows the edit: what the old wording logged is taken back, the new one is read."""
        entries = self.turn.entries_of_delivery(self.message.door, delivery)
        reader = reader_for(self.book, self.standing)
        if entries:
            told, done = take_back(entries, self.turn, self.standing, self.info, self.now)
            if not done:
                return Reply(told, "ask")
            self._close_questions(entries[0].message)
        reply = self._take(reader.read(self.message.text, self.now), self.message.text)
        return replace(reply, text=f"As edited: {reply.text}" if entries else reply.text)

    # ---- the words

    def _reply(self, outcome: str) -> Reply:
        said = self.said
        lines = said.lines
        if len(lines) > MOST_LINES:
            lines = [*lines[: MOST_LINES - 1], f"… and {len(lines) - MOST_LINES + 1} more, all logged."]
        parts = [*said.alarms, *lines, *said.after]
        parts += [a.text for a in said.answers]
        parts += said.cautions
        options: tuple[str, ...] = ()
        asking: int | None = None
        for asked in said.asked:
            body = {**asked.body(), "message": self.turn.message_id}
            asking = self.turn.ask(body)
        if said.asked:
            # One question at a time: the newest asked is answered first, so the first doubt is asked last.
            first = said.asked[-1]
            parts.append(first.text[:1].upper() + first.text[1:] if first.doubt and not first.options else first.text)
            options = tuple(first.labels)
            if len(said.asked) > 1:
                parts.append(f"({len(said.asked) - 1} more to ask after that.)")
        elif said.settled:
            waiting = self.turn.open_questions(self.message.person, self.message.chat)
            fresh = [q for q in waiting if self.now - q.asked_at < questions.OPEN_FOR]
            if fresh:  # one at a time: the next of them
                again = Asked.of(fresh[-1].body)
                parts.append(again.text)
                options, asking = tuple(again.labels), fresh[-1].id
        if said.asked and outcome in ("log", "both", "none") and not said.events:
            outcome = "ask"
        text = "\n".join(p for p in parts if p)
        if not text:
            text = "Nothing to log or answer in that."
        pictures = [a.picture for a in said.answers if a.picture]
        return Reply(
            text,
            outcome,
            tuple(said.events),
            options,
            tuple(said.cautions),
            pictures[0] if pictures else None,
            tuple(dict.fromkeys(w for a in said.answers for w in a.why)),
            asking,
        )
