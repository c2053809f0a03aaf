"""What a keeper tells the hand itself: words it shall know, its routine, what is put off, trips, how a note was read.

Strict on purpose: every word must be understood, else it is not taken as an order and is read as a note.
"""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import replace

from bot import sentences as say
from bot.answers.generations import line_question
from bot.answers.sexes import sexes_asked
from bot.answers.short_questions import short_question
from bot.language import Names, Reader
from bot.language.text.everyday import is_everyday
from bot.language.text.names import spoken
from bot.language.text.vocabulary import DOMAIN
from bot.language.text.words import normal
from bot.orders.arrivals import arrival_order
from bot.orders.batches import batch_order
from bot.orders.collecting import collecting_order
from bot.orders.kept_besides import kept_besides
from bot.orders.on_hand import on_hand
from bot.orders.promising import promise_order
from bot.orders.renaming import bare_word, meant, renamed
from bot.orders.selling import selling
from bot.orders.settling import taken_down
from bot.orders.skimmed import skimmed
from bot.orders.suggested import suggested_order
from bot.orders.taken import Scene, Taken
from bot.orders.to_remember import reminder_order
from bot.orders.traits import trait_order
from bot.orders.unaccounted import unaccounted
from bot.orders.wettings import wetting_order
from bot.pictures.breeding_record import ASKED, NO_PDF_HERE, breeding_record, record_pdf
from bot.pictures.labels import NO_DRAWING, label_pages
from bot.routine.asked import asked
from bot.routine.changes import routine_order
from bot.routine.courses import course_order
from bot.routine.putting_off import put_off_order
from bot.routine.resting import CAN_WAIT
from bot.routine.seasons import at_its_end
from bot.routine.shown import routine_of_person, routine_of_place, routine_of_room
from bot.routine.ticking import done_order, drawn_order, looked_order, reminded_order
from bot.routine.trips import LONGEST, trip_list
from bot.routine.words import Days, Words
from bot.talk.how_read import word_by_word
from bot.talk.questions import Asked
from bot.unasked.nightly import weekly
from shared.events import RoutineSet, WordTaught
from shared.ledger.standing import Standing
from storage.journal import Message, RoomBook

LONGEST_ORDER = 200
MOST_CLAUSES = 4
_LEAD = re.compile(
    r"^(?:please|ok|okay|hey|hi|hello|(?:good )?morning|so|and|"
    r"can you|could you|would you|i want to|i'd like to|let's|lets)[\s,.!]+(?=\w)"
)
_FOR_GOOD = re.compile(r"^(?:from now on|from today(?: on)?|starting today|new rule|new routine|always)[\s,:]+")
_TAIL = re.compile(r"[\s,]+(?:please|thanks|thank you|pls)$")
_CLAUSES = re.compile(r"\s*(?:[;\n]|,\s+(?:and\s+)?|\.\s)\s*")
# A word for a place has one of these in it, or it is asked first: “the smell is tank 3” tells of a smell.
_LIKE_A_PLACE = frozenset(
    ("tank", "tub", "jar", "rack", "shelf", "nursery", "big", "small", "little", "long", "tall", "old", "new", "left",
     "right", "top", "bottom", "upper", "lower", "corner", "window", "growout", "grow", "hospital", "kitchen", "hall",
     "show", "display", "front", "back")
)  # fmt: skip


def taken_as_order(
    text: str, standing: Standing, book: RoomBook, now: dt.datetime, message: Message, reader: Reader
) -> Taken | None:
    """What an order in the message comes to; None when it is none, or not wholly understood."""
    if len(text) > LONGEST_ORDER:
        return None
    plain = " ".join(normal(text)[0].replace("\n", " ; ").casefold().split()).strip(" .!")
    asking = plain.endswith("?")
    plain = plain.strip(" ?!.")
    plain, for_good = _bare(plain)
    plain = at_its_end(plain)
    speaker = book.person(message.person)
    words = Words(reader.names, now, for_good)
    scene = Scene(standing, now, words, speaker.name if speaker else None)
    if found := short_question(plain, scene, book, brief=message.door == "sms"):
        return found
    if shown := asked(plain, scene, book) or _shown(plain, scene, book, message, reader):
        return shown
    if found := reminder_order(plain, scene, book):
        return found
    if found := _record(plain, scene, book) or _sheets(plain, scene, book) or unaccounted(plain, scene, book):
        return found
    if found := line_question(plain, scene) or sexes_asked(plain, scene):
        return found
    if found := selling(plain, scene, book, asking=asking):
        return found
    if asking:
        return suggested_order(plain, scene, book) if plain.endswith("running low") else None
    if (
        found := promise_order(plain, text, scene)
        or skimmed(plain, scene)
        or arrival_order(plain, text, scene)
        or batch_order(plain, text, scene)
        or trait_order(plain, text, scene)
        or renamed(plain, text, scene, book)
    ):
        return found
    if found := course_order(plain, scene, message.person) or wetting_order(plain, scene):
        return found
    if found := collecting_order(plain, scene) or suggested_order(plain, scene, book):
        return found
    if found := taken_down(plain, scene) or on_hand(plain, scene) or kept_besides(plain, scene):
        return found
    if found := drawn_order(plain, scene) or done_order(plain, scene, book, message, reader):
        return found
    if found := looked_order(plain, scene):
        return found
    if found := _trip(plain, scene, book) or _word(plain, scene) or _order(plain, scene, book, message, reader):
        return found
    if found := reminded_order(plain, scene, book, reader):
        return found
    clauses = [c for c in _CLAUSES.split(plain) if c]
    if not 1 < len(clauses) <= MOST_CLAUSES:
        return None
    parts = [_word(c, scene) or _order(c, scene, book, message, reader) for c in clauses]
    if any(p is None or p.asked or not p.events for p in parts):
        return None
    whole = [p for p in parts if p]
    return Taken(tuple(e for p in whole for e in p.events), tuple(line for p in whole for line in p.lines))


def _bare(text: str) -> tuple[str, bool]:
    for_good = False
    while True:
        shorter = _TAIL.sub("", _LEAD.sub("", text))
        if hit := _FOR_GOOD.match(shorter):
            shorter, for_good = shorter[hit.end() :], True
        if shorter.endswith(" from now on"):
            shorter, for_good = shorter.removesuffix(" from now on").rstrip(" ,"), True
        if shorter == text:
            return text, for_good
        text = shorter


def _order(text: str, scene: Scene, book: RoomBook, message: Message, reader: Reader) -> Taken | None:
    for order in scene.words.taken_apart(text):
        found = put_off_order(order, scene, book, message, reader) or routine_order(order, scene)
        if found:
            return found
    return None


_WEEK = re.compile(
    r"^(?:how was|how did|sum up|summary of|show)(?: me)? (?:my|the|our|this|last) week(?: go)?$"
    r"|^weekly(?: summary)?$|^week summary$"
)
_LABELS = re.compile(
    r"^(?:(?:print|make|send|show)(?: me)? )?(?:a |the |my |all )?(?:label sheet|sheet of labels|labels?)"
    r"(?: (?:for|of) (?P<of>.+))?$"
)


def _sheets(text: str, scene: Scene, book: RoomBook) -> Taken | None:
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


def _record(text: str, scene: Scene, book: RoomBook) -> Taken | None:
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


# ---- words taught

_CALL = re.compile(r"^(?:call|name) (?P<rest>.+)$")
_MEANS = re.compile(r"^(?P<word>.+?) (?:means|stands for|is short for|is my word for|is what i call) (?P<means>.+)$")
_IS = re.compile(r"^(?P<word>(?:the|my|our) .+?) is (?P<means>(?:tank|tub|jar|bowl|box) \S+)$")
_FORGET = re.compile(r"^forget (?:about )?(?:the )?(?:word |name )?(?P<word>.+)$")


def _word(text: str, scene: Scene) -> Taken | None:
    if hit := _FORGET.match(text):
        word = bare_word(hit["word"])
        means = scene.standing.words.get(word)
        return Taken((WordTaught(word=word, means=""),), (f"“{word}” no longer means {means}.",)) if means else None
    if hit := _CALL.match(text):
        words = hit["rest"].split(" ")
        for at in range(1, len(words)):
            said, word = " ".join(words[:at]), " ".join(words[at:])
            if (means := meant(said, scene)) and (re.match(r"^(?:the|my|our) \w", word) or _new_word(word)):
                return _teach(word, means, scene)
        return None
    if hit := _MEANS.match(text):
        means = meant(hit["means"], scene)
        return _teach(hit["word"], means, scene) if means and len(hit["word"].split()) <= 4 else None
    if (hit := _IS.match(text)) and (means := meant(hit["means"], scene)):
        word = bare_word(hit["word"])
        parts = spoken(word)
        if (
            len(parts) > 4
            or not _LIKE_A_PLACE.intersection(parts)
            or DOMAIN.intersection(parts) - _LIKE_A_PLACE - {"out", "one"}
        ):
            return None
        return _teach(word, means, scene)
    return None


def _new_word(word: str) -> bool:
    """Whether a single word has no other meaning in a note."""
    return bool(re.fullmatch(r"[^\W\d_]{2,}", word)) and word not in DOMAIN and not is_everyday(word)


def _teach(word: str, means: str, scene: Scene) -> Taken | None:
    word, names = bare_word(word), scene.words.names
    parts = spoken(word)
    if not parts or all(p.isdigit() for p in parts):
        return None
    event = WordTaught(word=word, means=means)
    standing = scene.standing
    own = {n.casefold(): n for n in (*standing.places, *standing.lines, *standing.batches, *standing.cultures)}
    own |= {p.casefold(): p for p in names.people}
    if word in own or names.batch_ids.get(word) or scene.words.weekdays(word) or scene.words.day(word):
        return Taken(answer=f"“{word}” already means something here; choose another word. Nothing was changed.")
    if len(parts) == 1 and (parts[0] in DOMAIN or is_everyday(parts[0])) and word not in standing.words:
        return Taken(answer=f"“{word}” is a word notes are read by; choose another, or two words. Nothing was changed.")
    meant = scene.words.where(word)
    already = standing.words.get(word) or (meant and (say.places(meant.places) or meant.batch or meant.line))
    if already == means:
        return Taken(answer=f"“{word}” already means {means}.")
    if not _readable(word, means, names, scene.now):
        return Taken(answer=f"Notes with “{word}” in them cannot be told apart; choose another. Nothing was changed.")
    if already:
        options = (("yes", (event.outside(),)), ("no", ()))
        return Taken(asked=Asked(f"“{word}” already means {already}. Shall it mean {means}?", scene.now, options))
    return Taken((event,), (f"“{word}” means {means} from now on.",))


def _readable(word: str, means: str, names: Names, now: dt.datetime) -> bool:
    """Whether the reader then finds the place or line by that word: a number in it, say, is read as a number."""
    reader = Reader(replace(names, words={**names.words, word: means}))
    spans = reader.read(f"6 dead {word}", now).spans
    return any(s.claimed_by in ("place", "line", "batch", "culture") and spoken(s.words) == spoken(word) for s in spans)


# ---- shown

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


def _shown(text: str, scene: Scene, book: RoomBook, message: Message, reader: Reader) -> Taken | None:
    if hit := _SHOW.match(text):
        if not hit["for"]:
            return Taken(answer=routine_of_room(scene.standing, book, scene.now))
        if person := scene.words.person(hit["for"]):
            return Taken(answer=routine_of_person(person, scene.standing, scene.now))
        where = scene.words.where(hit["for"])
        if where is None:
            return None
        if where.room:
            return Taken(answer=routine_of_room(scene.standing, book, scene.now))
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
        note = next((m for m in mine if not _HOW.match(_bare(m.text.casefold().strip(" ?!."))[0])), None)
        return Taken(answer=word_by_word(note, scene.words, reader) if note else "No earlier note of yours is here.")
    return None


# ---- trips

_TRIP = re.compile(
    r"^(?:i'm |i am |we're |we are |i'll be |we'll be )?(?:away|gone|out of town|on holiday|on vacation|traveling) "
    r"(?P<days>.+?)(?:(?:\s*[,:;.]\s*|\s+)(?:and )?"
    r"(?:(?P<who>[^\W\d_]+) (?:(?:does|do|minds|looks after|takes|has|handles)"
    r" (?:it|it all|everything|the room|that|the fish)|(?:is |will be )?(?:covers?|covering|(?:fill|step)(?:s|ing)? in)"
    r"(?: for (?:me|us)| it| everything| the room)?)|(?:a )?list for (?P<list>[^\W\d_]+)))?$"
)
_LIST = re.compile(r"^(?:the |a |trip )?list for (?P<who>[^\W\d_]+)$|^(?:the )?trip list$")


def _trip(text: str, scene: Scene, book: RoomBook) -> Taken | None:
    if hit := _LIST.match(text):
        return _list_again(hit["who"], scene, book)
    hit = _TRIP.match(text)
    days = scene.words.days(hit["days"]) if hit else None
    if not hit or days is None or days.first < scene.now.date():
        return None
    if (days.last - days.first).days >= LONGEST:
        return Taken(answer=f"That is more than {LONGEST} days, too long for one list; say it in parts.")
    person = _who(hit["who"] or hit["list"], scene)
    keys = days.keys() | ({"person": person} if person else {})
    text = trip_list(_before_trips(scene.standing), book, days.first, days.last, person=person)
    known = [kept.event for kept in scene.standing.settings]
    away = RoutineSet(what="away", **keys)
    if away in known:
        return Taken(answer=text)
    events = [away, *(RoutineSet(what="off", value=t, **days.keys()) for t in CAN_WAIT)]
    if person:
        events.append(RoutineSet(what="who", value="all", **keys))
    more = () if person else ("Say it with who does it, and it is put down as theirs.",)
    return Taken(tuple(events), (text, *more))


def _list_again(named: str | None, scene: Scene, book: RoomBook) -> Taken | None:
    """The list of the trip said last, as it was made: without what the trip itself changed."""
    trips = [
        (kept.event, days)
        for kept in scene.standing.settings
        if isinstance(kept.event, RoutineSet) and kept.event.what == "away" and (days := _span(kept.event))
        if days.last >= scene.now.date()
    ]
    person = _who(named, scene) if named else None
    if not trips:
        return (
            Taken(answer="No trip is put down; say “away 12th to 15th, Ivo does it”, for instance.")
            if named is None or (person in scene.words.names.people)
            else None
        )
    event, days = trips[-1]
    return Taken(
        answer=trip_list(_before_trips(scene.standing), book, days.first, days.last, person=person or event.person)
    )


def _before_trips(standing: Standing) -> Standing:
    """The room without what its trips leave out, or there would be nothing to do before them."""
    events = [k.event for k in standing.settings if isinstance(k.event, RoutineSet)]
    trips = {(e.from_, e.to) for e in events if e.what == "away"}
    kept = [
        k for k in standing.settings if (getattr(k.event, "from_", None), getattr(k.event, "to", None)) not in trips
    ]
    return standing.model_copy(update={"settings": kept})


def _span(event: RoutineSet) -> Days | None:
    try:
        return Days(dt.date.fromisoformat(event.from_ or ""), dt.date.fromisoformat(event.to or ""))
    except ValueError:
        return None


def _who(said: str | None, scene: Scene) -> str | None:
    if said is None:
        return None
    return scene.words.person(said) or say.first_up(said)
