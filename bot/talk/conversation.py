"""One turn of talk: a note, a question, the answer to one, a correction, or taking back; and the words that go back."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

from bot import sentences as say
from bot.answers.answer import answer
from bot.answers.price_list import without_carriage
from bot.language import Doubt, Names, Query, Reader, Reading
from bot.orders.promising import KeptBack, kept_back
from bot.orders.setting_up import declared, not_empty, unheard_of
from bot.orders.to_the_hand import taken_as_order
from bot.reply import Reply
from bot.routine.taken import Taken
from bot.talk import at_hand, questions, said_in_full
from bot.talk.album import NOT_FOR_VIEWERS, Photos, names_only, wanted
from bot.talk.corrections import take_back
from bot.talk.emergencies import answer_emergency, back_on, emergency_in, place_meant
from bot.talk.going_on import (
    among_the_others,
    as_well,
    followed,
    goes_on,
    gone_on,
    same_tub,
    short_words,
    told_elsewhere,
)
from bot.talk.how_to import how_to, small_talk
from bot.talk.knowing import card_of, reader_for
from bot.talk.members import People
from bot.talk.mending import MENDED_BACK
from bot.talk.more import MORE, in_pieces
from bot.talk.questions import Asked
from bot.talk.settled import Settling
from bot.talk.several import questions_in
from bot.talk.taking_down import own_time
from bot.talk.which_fish import fish_meant
from bot.unasked import notices
from shared.events import Corrected, EggsPulled, Event, FishSold, PeatHandled, Remarked, TaskDone, Undone, event_from
from shared.room import PlaceCard
from storage.messages import edited_at

MOST_CHARACTERS = 5_000
NO_LOGGING = "You can look but not log here; ask the owner to make you a helper. Nothing was logged."
_NUMBERS = frozenset(("count", "amount", "value", "male", "female", "percent"))
WHAT_IS_LEFT = "What is done, and what is left? Say it like “egg tubs done except tub C”. Nothing was put down."
_LEFT = re.compile(r"\b(?:except|apart from|but not|all but)\b", re.IGNORECASE)  # what is named there is not done
WORDED_LATER = "A later wording of that note has come already; it stands."
WHICH_NOTE = "I don't know which note that is about; say it with the tank or tub. Nothing was changed."
_WHY = frozenset(
    ("why", "why is that", "says who", "how do you know", "what is that based on", "how sure is that", "how sure")
)


def _a_sale(reading: Reading) -> bool:
    """Whether this is one sale and nothing else, with nothing left to ask."""
    return not reading.doubts and not reading.query and [e.kind for e in reading.events] == ["sale"]


class Conversation(Settling):
    """What one message leads to."""

    def respond(self, *, about: str | None, edited: str | None, picture: bytes | None = None) -> Reply:
        self.photos = Photos(self.book, self.turn, self.message, self.now)
        self.people = People(self.book, self.turn, self.message, self.now)
        asking = self._asking() if self.turn.open_questions() else None
        if picture is None or edited:
            return self.photos.asked_again(self._in_pieces(self._heard(about, edited, asking)), asking)
        if not self.may_log:
            return Reply(NOT_FOR_VIEWERS)
        return self.photos.keep(picture, lambda: self._heard(about, None, asking))

    def _heard(self, about: str | None, edited: str | None, asking: int | None) -> Reply:
        text = self._with_the_tub(self.message.text)
        if not text.strip():
            return Reply("That message was empty; nothing was logged.")
        if len(text) > MOST_CHARACTERS:
            return Reply(f"That is more than {MOST_CHARACTERS} characters; nothing was logged. Send it in parts.")
        if edited:
            return self._follow_edit(edited)
        if _later_than(self.message.delivery, self.turn.edits_before()):
            return Reply("")
        if told := self._told_shortly(text, about):
            return told
        reader = reader_for(self.book, self.standing)
        if self.may_log and (more := self._told_of_before(reader, text, about, asking)):
            return more
        places = declared(text, self.standing, self.info.gallon, self.info.units) if self.may_log else None
        if places is not None:
            return self._set_up(places)
        if order := taken_as_order(text, self.standing, self.book, self.now, self.message, reader):
            return self._obey(order)
        if self.may_log and self._priced(reader, text):
            return self._reply("ask")
        if (kept := kept_back(text)) and _a_sale(reading := self._read(reader, kept.sale)):
            return self._take(reading, kept.sale, kept)
        if self.may_log and (asked := said_in_full.per_volume(text, reader, self.standing, self.info, self.now)):
            self.said.asked.append(asked)
            return self._reply("ask")
        return self._take(self._read(reader, text), text)

    def _told_shortly(self, text: str, about: str | None) -> Reply | None:
        """What needs no reader: an answer to what was said unasked, why, more, help, photos, people."""
        if noticed := notices.noticed(about, self.message, self.book, self.standing, self.now):
            return self._obey(noticed)
        if text.strip(" ?!.").casefold() in _WHY:
            return self._why()
        if text.strip(" ?!.").casefold() in MORE:
            return Reply(self._rest() or "That was all.", "answer")
        if helped := how_to(text, self.standing):
            return Reply(helped, "answer")
        if chat := small_talk(text, self._name(), self.now.hour):
            return Reply(chat, "none")
        photos = wanted(text)
        shown = self.photos.shown(photos) if photos else None
        if shown:
            return Reply(shown.text, "answer", picture=shown.picture)
        return self.people.told(text, self.standing)

    def _told_of_before(self, reader: Reader, text: str, about: str | None, asking: int | None) -> Reply | None:
        """What leans on what was said before or must come before all else: a correction, an answer, an emergency."""
        if about is None and short_words(text) and (going_on := self._follow(reader, text)):
            return going_on
        if about is None and (more := self._put_them(reader, text) or self._add(reader, text) or self._put_eggs(text)):
            return more
        if mended := self._mend(reader, text, about):
            return mended
        if self._settle(reader, text, asking):
            return self._reply("log")
        if urgent := self._emergency(reader, text):
            return urgent
        if about is None and (told := self._leaning(reader, text)):
            return self._take(told, text)
        return None

    def _with_the_tub(self, text: str) -> str:
        """ "Same tub" in the words of an answer or at the end of a pull: the tub that eggs went to last."""
        if "same tub" not in text.casefold() or not self.may_log:
            return text
        return same_tub(text, self._last_notes(MENDED_BACK), self.now) or text

    def _name(self) -> str | None:
        """How whoever speaks is called, when that is a name."""
        person = self.book.person(self.message.person)
        return person.name if person and person.name not in ("keeper", "someone") else None

    def _mend(self, reader: Reader, text: str, about: str | None) -> Reply | None:
        """A correction or taking back that must not be taken for anything else.

        In a reply to a message it is about that one and no other. And “14 not 40” mends the note even when a
        question is open: taken for its answer, it would put fish into tank 14.
        """
        if about is None and not self.turn.open_questions():
            return None
        if about is not None and about.startswith(notices.BEGINS):
            return None
        events = reader.read(text, self.now).events
        event = events[0] if len(events) == 1 else None
        if about is not None:
            return self._mend_that(event, text, about)
        if isinstance(event, Corrected) and set(dict(event.changes)) <= _NUMBERS:
            return self._correct(event, self._meant(event))
        return None

    def _follow(self, reader: Reader, text: str) -> Reply | None:
        """Short words that go on from the note just before: “no 3”, “moved em to tub G”."""
        last = self._note_before()
        found = followed(text, last, reader, self.now, tuple(self.standing.places)) if last else None
        if found is None:
            return None
        if found.reading:
            return self._take(found.reading, text)
        if len(found.fixes) == 1:
            return self._correct(found.fixes[0][1], last)
        options = tuple((label, (fix.outside(),)) for label, fix in found.fixes)
        self.said.asked.append(Asked("Which is right?", self.now, options))
        return self._reply("ask")

    def _mend_that(self, event: Event | None, text: str, about: str) -> Reply | None:
        meant = self.turn.message_of_delivery(self.message.door, about)
        photo = self.turn.picture_of(meant.id) if meant else None
        if photo and not any(
            q.body.get("message") == photo.message and "picture" not in q.body for q in self.turn.open_questions()
        ):
            told = self.photos.rename(photo.message, names_only(text, self.photos.known))
            if told:
                self._close_questions(photo.message)
                return Reply(told, "log")
        entries = self.turn.entries_of_delivery(self.message.door, about)
        match event:
            case Undone() if entries or photo:
                return self._take_back(entries, photo)
            case Corrected() if entries:
                return self._correct(event, entries)
            case Undone() | Corrected():
                return Reply(WHICH_NOTE, "ask")
        return None

    def _emergency(self, reader: Reader, text: str) -> Reply | None:
        """A power cut, a leak, a failed heater happening now: what to save first, before anything else."""
        found = emergency_in(text) or back_on(text, self.book, self.now)
        short = self.message.door == "sms"
        told = answer_emergency(found, self.standing, self.book, self.now, short=short) if found else ""
        if not found or not told:
            return None
        self._log(Remarked(text=text, place=place_meant(found.place, self.standing)), text)
        self.said.alarms, self.said.lines = [told], []
        if found.rest:
            for event in reader.read(found.rest, self.now).events:
                if not isinstance(event, Remarked | Undone | Corrected):
                    self._log(event, found.rest)
        return self._reply("log")

    def _in_pieces(self, reply: Reply) -> Reply:
        """A long answer by text message: its first lines, the others for whoever says “more”."""
        if self.message.door != "sms" or reply.outcome != "answer" or reply.options or reply.picture:
            return reply
        first, rest = in_pieces(reply.text)
        return replace(reply, text=first, rest="\n".join(filter(None, (rest, reply.rest)))) if rest else reply

    def _read(self, reader: Reader, text: str) -> Reading:
        """The reader's reading; a bare name asks how it stands, and “and 12 from tank 5” goes on from the last note."""
        new = unheard_of(text, self.standing) if self.may_log else []
        if new:
            card = card_of(self.standing, self.book)
            places = (*card.places, *(PlaceCard(name=n, kind=n.split()[0]) for n in new))
            reading = Reader(Names.of(card.model_copy(update={"places": places}))).read(text, self.now)
            if any(not isinstance(e, Remarked) for e in reading.events):
                self._offer_places(new, reading)
                return Reading("ask")
        reading = reader.read(without_carriage(text), self.now)
        reading = said_in_full.read_in_full(text, reading, reader, self.standing, self.now)
        bare = " ".join(text.split()).strip(" .?!")
        if not [e for e in reading.events if not isinstance(e, Remarked)] and not reading.query:
            here = self.standing
            name = next((n for n in (*here.places, *here.batches) if n.casefold() == bare.casefold()), None)
            if name:
                query = Query("batch", batch=name) if name in here.batches else Query("place", place=name)
                return Reading("answer", query=query)
        unclear = reading.outcome in ("ask", "none", "log") and not reading.query
        if unclear and as_well(text):
            if more := told_elsewhere(text, self._chores_just_told(), reader, self.now):
                return more
            if all(isinstance(e, Remarked) for e in reading.events) and not reading.doubts:
                return Reading("ask", doubts=(Doubt(text, "What was done there? Say it in full.", (), "kind"),))
        if unclear and goes_on(text):
            return gone_on(text, self._last_entries(), reader, self.now) or reading
        return reading

    def _offer_places(self, new: list[str], reading: Reading) -> None:
        """The first note of a place nobody has set up: offered in one tap, nothing logged before."""
        events = [{"kind": "new_place", "place": n} for n in new] + [e.outside() for e in reading.events]
        text = f"There is no {say.listed(new)} yet. Set up and log this?"
        self.said.asked.append(Asked(text, self.now, (("yes", tuple(events)), ("no", ()))))

    def _set_up(self, places: list[dict[str, Any]]) -> Reply:
        """Places and lines said in one go, read back by size and role; never empty what holds fish on record."""
        full = not_empty([raw["place"] for raw in places if raw.get("role") == "empty"], self.standing)
        if full or not places:
            return Reply(f"{full or 'That stands so on record already.'} Nothing was changed.", "ask")
        for raw in places:
            self._log(event_from(raw), "", sure=True)
        self.said.lines = self._places_told(places)
        if not any(p.line for p in self.standing.places.values()):
            self.said.after.append("Say which fish stand where, like “tanks 2 and 3 gardneri”.")
        return self._reply("log")

    def _obey(self, order: Taken) -> Reply:
        """What the keeper told the hand itself: taken down, asked about first, or only answered."""
        if order.answer is not None and (order.asked is None or not self.may_log):
            return Reply(order.answer, "answer", picture=order.picture)
        if not self.may_log:
            return Reply(NO_LOGGING)
        for event in order.events:
            happened = isinstance(event, PeatHandled) and own_time(event)  # a bag that came in with its own date
            sure = not isinstance(event, EggsPulled)  # a pull may be told a second time like any other
            self._log(event, "", at=order.at or (None if happened else self.now), sure=sure)
        self.said.lines = [order.answer] if order.answer else list(order.lines) or self.said.lines
        if order.asked:
            self.said.asked.append(order.asked)
        return self._reply("log" if order.events else "ask")

    # ---- a note

    def _take(self, reading: Reading, text: str, kept: KeptBack | None = None) -> Reply:
        if not self.may_log and (reading.events or reading.doubts):
            return Reply(NO_LOGGING)
        if _LEFT.search(text) and any(isinstance(e, TaskDone) for e in reading.events):
            return Reply(WHAT_IS_LEFT, "ask")
        for event in reading.events:
            match event:
                case Undone():
                    return self._undo()
                case Corrected():
                    reply = self._correct(event, self._meant(event))
                    if len(reading.events) == 1:
                        return reply
                case _:
                    alone = len(reading.events) == 1
                    for one in fish_meant(event, text, self.standing, self.now) if alone else (event,):
                        self._log(among_the_others(one, text, self._fed_just_before), text)
                    if kept and isinstance(event, FishSold) and self.said.events:
                        self._log(kept.promise(event), "", sure=True)
        if reading.outcome == "none" and self.may_log and not self.said.lines:
            return self._not_understood(text)
        lacking = any(d.missing == "place" and not d.likely for d in reading.doubts)
        spots: list[str] = []
        if lacking or (reading.query and not (reading.query.place or reading.query.batch or reading.query.line)):
            reader = reader_for(self.book, self.standing)
            spots = at_hand.places_before(self._messages_before(), reader, self.now)
        for doubt in reading.doubts:
            doubt = said_in_full.with_its_count(at_hand.with_places(doubt, spots), text)
            doubt = said_in_full.asked_back(doubt, text, reader_for(self.book, self.standing), self.now)
            doubt = said_in_full.with_temperatures(
                doubt, text, reader_for(self.book, self.standing), self.now, self.info
            )
            self.said.asked.append(questions.of_doubt(doubt, self.now, self.standing))
        if reading.query:
            reader = reader_for(self.book, self.standing)
            for words, query in questions_in(text, reading, reader, self.now):
                asked = replace(self.message, text=words)
                meant = [query]
                if reading.outcome == "answer":
                    meant = at_hand.of_what_was_told(query, words, self._batches_just_told())
                    meant = meant or [at_hand.of_the_place(query, words, spots)]
                told = [answer(one, self.standing, self.book, self.now, asked) for one in meant]
                self.said.answers += told
        return self._reply(reading.outcome)

    def _not_understood(self, text: str) -> Reply:
        """What came to nothing: talk, or a sentence about this room, of which the words at least are kept."""
        if self._bare_number(text):
            return self._reply("ask")
        kept = said_in_full.not_understood(text, reader_for(self.book, self.standing), self.now)
        if isinstance(kept, str):
            return Reply(kept, "ask")
        if kept is None:
            return self._asked_once_more() or self._reply("none")
        self._log(kept, text)
        name = kept.place or kept.batch or kept.line
        self.said.lines = [f"Kept as a remark{f' for {name}' if name else ''}; I did not understand more of it."]
        return self._reply("log")

    # ---- wordings of a note that come later

    def _follow_edit(self, delivery: str) -> Reply:
        """The entry follows the edit: what the old wording logged is taken back, the new one is read."""
        if self._worded_later(delivery):
            return Reply(WORDED_LATER)
        entries = self.turn.entries_of_delivery(self.message.door, delivery)
        reader = reader_for(self.book, self.standing)
        if entries:
            told, done = take_back(entries, self.turn, self.standing)
            if not done:
                return Reply(told, "ask")
            self._close_questions(entries[0].message)
        meant = self.turn.message_of_delivery(self.message.door, delivery)
        if meant and self.turn.picture_of(meant.id):
            self._close_questions(meant.id)
            reply = self.photos.reworded(meant.id, lambda: self._read_anew(reader))
            return replace(reply, text=f"As edited: {reply.text}")
        reply = self._read_anew(reader)
        return replace(reply, text=f"As edited: {reply.text}" if entries else reply.text)

    def _worded_later(self, delivery: str) -> bool:
        """Whether a later wording of the message has come before this one."""
        wordings = self.turn.wordings(self.message.door, delivery)
        return _later_than(self.message.delivery, [w.delivery for w in wordings])

    def _read_anew(self, reader: Reader) -> Reply:
        return self._take(reader.read(self.message.text, self.now), self.message.text)


def _later_than(delivery: str, others: list[str]) -> bool:
    """Whether one of the other wordings is later than that one."""
    return any(edited_at(other) > edited_at(delivery) for other in others)
