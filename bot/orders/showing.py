"""What is shown on being told so: the routine, words taught, how a note was read, the week, labels, a record."""

from __future__ import annotations

import re

from bot import sentences as say
from bot.language import Reader
from bot.pictures.breeding_record import ASKED, NO_PDF_HERE, breeding_record, record_pdf
from bot.pictures.labels import NO_DRAWING, label_pages
from bot.routine.shown import routine_of_person, routine_of_place, routine_of_room
from bot.routine.taken import Scene, Taken, bare_order
from bot.talk.how_read import word_by_word
from bot.unasked.nightly import weekly
from storage.journal import Message, RoomBook

_SHOW = re.compile(
    r"^(?:(?:show|list|tell)(?: me)? |what(?:'s|s| is) |see )?(?:the |my |our )?(?:whole )?routine"
    r"(?: (?:for|in|of|with) (?P<for>.+))?$"
)
_DOES = re.compile(r"^what (?:does (?P<who>[^\W\d_]+) do|do (?P<i>i) do)$")
_WORDS = re.compile(
    r"^(?:show |list )?(?:me )?(?:the |my |our )?(?:words|taught words|names)(?: you know)?$|^what words do you know$"
)
_THAT_NOTE = r"(?:that|it|this|my last note|the last note|my note)"
_HOW = re.compile(
    rf"^how did you (?:read|understand|take) {_THAT_NOTE}$|^how (?:was|were) {_THAT_NOTE} (?:read|understood|taken)$"
    r"|^word by word$|^show how (?:you read that|that was read)$"
)


def shown(text: str, scene: Scene, book: RoomBook, message: Message, reader: Reader) -> Taken | None:
    """The routine of the room, a place or a person; the words taught; how the last note was read."""
    if hit := _SHOW.match(text):
        if not hit["for"]:
            return Taken(answer=routine_of_room(scene.standing, scene.now))
        if person := scene.words.person(hit["for"]):
            return Taken(answer=routine_of_person(person, scene.standing, scene.now))
        where = scene.words.where(hit["for"])
        if where is None:
            return None
        if where.room:
            return Taken(answer=routine_of_room(scene.standing, scene.now))
        places = list(where.places)
        if not places:
            places = [
                p for p in scene.standing.places
                if any(where.batch == h.group or where.line == h.line for h in scene.standing.at_place(p))
            ]  # fmt: skip
        told = [routine_of_place(p, scene.standing, book, scene.now) for p in places[:4] if not p.startswith("all ")]
        return Taken(answer="\n".join(told)) if told else None
    if hit := _DOES.match(text):
        person = scene.speaker if hit["i"] else scene.words.person(hit["who"])
        return Taken(answer=routine_of_person(person, scene.standing, scene.now)) if person else None
    if _WORDS.match(text):
        known = [f"“{word}” means {means}." for word, means in scene.standing.words.items() if means]
        return Taken(
            answer="\n".join(known) or "No words were taught yet; say “call tank 14 the big one”, for instance."
        )
    if _HOW.match(text):
        kept = book.messages(person=message.person, limit=12, newest_first=True)
        mine = [m for m in kept if m.chat == message.chat and m.delivery != message.delivery and m.text.strip()]
        note = next((m for m in mine if not _HOW.match(bare_order(m.text.casefold().strip(" ?!."))[0])), None)
        return Taken(answer=word_by_word(note, scene.words, reader) if note else "No earlier note of yours is here.")
    return None


_WEEK = re.compile(
    r"^(?:how was|how did|sum up|summary of|show)(?: me)? (?:my|the|our|this|last) week(?: go)?$"
    r"|^weekly(?: summary)?$|^week summary$"
)
_LABELS = re.compile(
    r"^(?:(?:print|make|send|show)(?: me)? )?(?:a |the |my |all )?(?:label sheet|sheet of labels|labels?)"
    r"(?: (?:for|of) (?P<of>.+))?$"
)


def sheets(text: str, scene: Scene, book: RoomBook) -> Taken | None:
    """The week as the nightly message tells it, and labels to print."""
    if _WEEK.match(text):
        return Taken(answer=weekly(book, scene.now))
    hit = _LABELS.match(text)
    where = scene.words.where(hit["of"]) if hit and hit["of"] else None
    if not hit or (hit["of"] and (where is None or not (where.places or where.room))):
        return None
    places = [p for p in where.places if p in scene.standing.places] if where else []
    try:
        pdf, count = label_pages(scene.standing, book.info, places=places)
    except ValueError as trouble:
        return Taken(answer=str(trouble))
    except ImportError:
        return Taken(answer=NO_DRAWING)
    told = f"{say.count(count, 'label')} to print, with a code that shows what to send."
    more = "At the machine `roomhand labels` takes other sizes and a link that opens the chat."
    return Taken(answer=f"{told}\n{more}", picture=pdf)


def record(text: str, scene: Scene, book: RoomBook) -> Taken | None:
    """A breeding record to send on."""
    hit = ASKED.match(text)
    where = scene.words.where(hit["of"]) if hit else None
    name = (where.batch or where.line) if where else None
    record = breeding_record(scene.standing, book, name, scene.now) if name else None
    if not hit or record is None:
        return None
    if not (hit["first"] or hit["file"] or hit["last"]):
        return Taken(answer=f"{record.text()}\n“breeding record for {name} as PDF” makes a page of it.")
    try:
        return Taken(answer=record.text(), picture=record_pdf(record, book.info.units))
    except ImportError:
        return Taken(answer=f"{record.text()}\n{NO_PDF_HERE}")
