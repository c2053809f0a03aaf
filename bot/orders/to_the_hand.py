"""What a keeper tells the hand itself, or asks of it shortly: which of the files beside this one takes it.

Strict on purpose: every word must be understood, else it is not taken as an order and is read as a note.
"""

from __future__ import annotations

import datetime as dt
import re

from bot.answers.generations import line_question
from bot.answers.sexes import sexes_asked
from bot.answers.short_questions import short_question
from bot.language import Reader
from bot.language.text.words import normal
from bot.language.times.seasons import at_its_end
from bot.orders.arrivals import arrival_order
from bot.orders.batches import batch_order
from bot.orders.collecting import collecting_order
from bot.orders.fry_taken_out import skimmed
from bot.orders.going_away import trip_order
from bot.orders.into_peat import into_peat
from bot.orders.on_hand import on_hand
from bot.orders.peat_and_cultures import kept_besides
from bot.orders.promising import promise_order
from bot.orders.renaming import renamed
from bot.orders.selling import selling
from bot.orders.setting_up import taken_down
from bot.orders.showing import record, sheets, shown
from bot.orders.suggested import suggested_order
from bot.orders.to_remember import reminder_order
from bot.orders.traits import trait_order
from bot.orders.unaccounted import unaccounted
from bot.orders.wettings import wetting_order
from bot.orders.words_taught import word_order
from bot.routine.asked import asked
from bot.routine.changes import may_be_of_routine, routine_order
from bot.routine.courses import course_order
from bot.routine.putting_off import put_off_order
from bot.routine.taken import Scene, Taken, bare_order
from bot.routine.ticking import done_order, drawn_order, looked_order, reminded_order
from bot.routine.words import Words
from shared.ledger.standing import Standing
from storage.journal import Message, RoomBook

LONGEST_ORDER = 200
MOST_CLAUSES = 4
_CLAUSES = re.compile(r"\s*(?:[;\n]|,\s+(?:and\s+)?|\.\s)\s*")


def taken_as_order(
    text: str, standing: Standing, book: RoomBook, now: dt.datetime, message: Message, reader: Reader
) -> Taken | None:
    """What an order in the message comes to; None when it is none, or not wholly understood."""
    if len(text) > LONGEST_ORDER:
        return None
    plain = " ".join(normal(text)[0].replace("\n", " ; ").casefold().split()).strip(" .!")
    asking = plain.endswith("?")
    plain = plain.strip(" ?!.")
    plain, for_good = bare_order(plain)
    plain = at_its_end(plain)
    speaker = book.person(message.person)
    words = Words(reader.names, now, for_good)
    scene = Scene(standing, now, words, speaker.name if speaker else None)
    if found := (
        short_question(plain, scene, book, brief=message.door == "sms")
        or asked(plain, scene, book)
        or shown(plain, scene, book, message, reader)
        or reminder_order(plain, scene, book)
        or record(plain, scene, book)
        or sheets(plain, scene, book)
        or unaccounted(plain, scene, book)
        or line_question(plain, scene)
        or sexes_asked(plain, scene)
        or selling(plain, scene, book, asking=asking)
    ):
        return found
    if asking:
        return suggested_order(plain, scene, book) if plain.endswith("running low") else None
    return (
        promise_order(plain, text, scene)
        or skimmed(plain, scene)
        or arrival_order(plain, text, scene)
        or batch_order(plain, text, scene)
        or trait_order(plain, text, scene)
        or renamed(plain, text, scene, book)
        or course_order(plain, scene, message.person)
        or wetting_order(plain, scene)
        or collecting_order(plain, scene)
        or into_peat(plain, scene, reader)
        or suggested_order(plain, scene, book)
        or taken_down(plain, scene)
        or on_hand(plain, scene)
        or kept_besides(plain, scene)
        or drawn_order(plain)
        or done_order(plain, scene, book, message, reader)
        or looked_order(plain, scene)
        or trip_order(plain, scene, book)
        or word_order(plain, scene)
        or _order(plain, scene, book, message, reader)
        or reminded_order(plain, scene, book, reader)
        or _several(plain, scene, book, message, reader)
    )


def _several(text: str, scene: Scene, book: RoomBook, message: Message, reader: Reader) -> Taken | None:
    """Orders about the routine and words taught, several in one breath; each must be understood."""
    clauses = [c for c in _CLAUSES.split(text) if c]
    if not 1 < len(clauses) <= MOST_CLAUSES:
        return None
    parts = [word_order(c, scene) or _order(c, scene, book, message, reader) for c in clauses]
    if any(p is None or p.asked or not p.events for p in parts):
        return None
    whole = [p for p in parts if p]
    return Taken(tuple(e for p in whole for e in p.events), tuple(line for p in whole for line in p.lines))


def _order(text: str, scene: Scene, book: RoomBook, message: Message, reader: Reader) -> Taken | None:
    for order in scene.words.taken_apart(text) if may_be_of_routine(text) else ():
        found = put_off_order(order, scene, book, message, reader) or routine_order(order, scene)
        if found:
            return found
    return None
