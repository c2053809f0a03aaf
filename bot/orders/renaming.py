"""A tank, tub, line or culture called anew by chat: “tank 14 is now called G1”, “rename the microworm A to MW1”.

Nothing on record is changed: what was logged before is told under the new name, and the old one still finds it.
"""

from __future__ import annotations

import datetime as dt
import re

from bot import sentences as say
from bot.language import Names, Reader
from bot.language.text.everyday import is_everyday
from bot.language.text.names import spoken
from bot.language.text.vocabulary import DOMAIN
from bot.routine.taken import Scene, Taken
from bot.talk.knowing import card_of
from shared.events import Renamed
from shared.ledger.renaming import rename
from shared.ledger.standing import Standing
from storage.journal import RoomBook

LONGEST_NAME, MOST_WORDS = 24, 4
_SIGN = re.compile(r"[a-z]{1,3}[ -]?\d{1,3}[a-z]?|\d{1,3}[a-z]")
_VESSEL = re.compile(r"(?P<kind>tank|tub|jar|bowl|box|bucket|bag) ?(?P<id>\d{1,3}|[a-z])")
_ASKED = (
    re.compile(r"^(?:rename|change the name of|change the number of) (?P<old>.+?) (?:to|as|into|=>|->) (?P<new>.+)$"),
    re.compile(
        r"^(?P<old>.+?) (?:is|are|was|'s)(?: now)? (?:called|named|renamed(?: to)?|relabell?ed(?: as| to)?|numbered) "
        r"(?P<new>.+?)(?: now)?$"
    ),
    re.compile(r"^(?P<old>.+?) (?:is|becomes)(?: now)? (?P<sign>.+?)(?: now)?$"),
    re.compile(r"^(?:call|name) (?P<old>.+?) (?P<sign>\S+(?: \d{1,3})?)(?: now| instead)?$"),
)
_NOT = " Nothing was changed."


def renamed(plain: str, text: str, scene: Scene, book: RoomBook) -> Taken | None:
    """What an order to call something anew comes to; `text` has its capitals."""
    for pattern in _ASKED:
        hit = pattern.match(plain)
        old = meant(hit["old"], scene) if hit else None
        if not hit or old is None:
            continue
        said = hit.groupdict()
        if said.get("sign") and not _SIGN.fullmatch(bare_word(said["sign"])):
            continue  # “tank 3 is now empty” tells of the tank
        return _call(old, bare_word(said.get("sign") or said["new"]), text, scene, book)
    return None


def meant(text: str, scene: Scene) -> str | None:
    """The one place, line, batch or culture a text names."""
    where = scene.words.where(text)
    if where is None:
        words = bare_word(text).removesuffix(" culture")
        return next((c for c in scene.words.names.cultures if c.casefold() == words), None)
    named = [*where.places, *(n for n in (where.batch, where.line) if n)]
    return named[0] if len(named) == 1 and not named[0].startswith("all ") else None


def bare_word(word: str) -> str:
    """A word without quotes and without “the” or “my” before it."""
    return re.sub(r"^(?:the|my|our) ", "", word.strip(" \"“”'"))


def _call(old: str, said: str, text: str, scene: Scene, book: RoomBook) -> Taken | None:
    standing = scene.standing
    if old in standing.batches:
        return Taken(answer=f"{old} keeps its number; a name can be added: “call {old} the window batch”.{_NOT}")
    new = _as_written(said, old, text)
    if len(new) > LONGEST_NAME or not 0 < len(new.split()) <= MOST_WORDS:
        return Taken(answer=f"That is too long for a name on a tank; take up to {MOST_WORDS} words.{_NOT}")
    if new == old:
        return Taken(answer=f"{old} is called so already.")
    if taken := _taken(new, old, scene, book):
        return Taken(answer=f"{taken}{_NOT}")
    kind = "line" if old in standing.lines else "culture" if old in standing.cultures else "place"
    if not _found(new, old, kind, standing, book, scene.now):
        return Taken(answer=f"Notes with “{new}” in them could be read in two ways; choose another name.{_NOT}")
    return Taken((Renamed(old=old, new=new),))


def _as_written(said: str, old: str, text: str) -> str:
    """The new name in the room's own spelling: `tank 40`, `tub F`, `G1`; else as it was typed."""
    vessel = _VESSEL.fullmatch(said)
    kind = _VESSEL.fullmatch(old.casefold())
    if vessel or (kind and re.fullmatch(r"\d{1,3}|[a-z]", said)):
        head, ident = (vessel["kind"], vessel["id"]) if vessel else (kind["kind"] if kind else "", said)
        return f"{head} {ident.upper()}"
    if _SIGN.fullmatch(said):
        return said.upper()
    typed = re.search(re.escape(said), text, re.IGNORECASE)
    return typed[0] if typed else said


def _taken(new: str, old: str, scene: Scene, book: RoomBook) -> str | None:
    """Why a name cannot be had."""
    standing, names, word = scene.standing, scene.words.names, new.casefold()
    own = (*standing.places, *standing.lines, *standing.batches, *standing.cultures, *names.people)
    if word in {n.casefold() for n in own} or names.batch_ids.get(word) or standing.words.get(word, old) != old:
        return f"“{new}” already means something here; choose another name."
    if re.fullmatch(r"b ?\d+", word):
        return f"“{new}” would read as a batch; choose another name."
    parts = spoken(word)
    plain = len(parts) == 1 and (parts[0] in DOMAIN or is_everyday(parts[0]))
    if plain or scene.words.weekdays(word) or scene.words.day(word):
        return f"“{new}” is a word notes are read by; choose another name, or two words."
    once = [p.name for p in standing.places.values() if new in p.aka and p.name != old]
    once += [n.name for n in standing.lines.values() if new in n.aka and n.name != old]
    if not once and book.entries(name=new, limit=1, include_retracted=True):
        return f"“{new}” was something else on record once; choose another name."
    return f"{say.listed(once)} was called so before; choose another name." if once else None


def _found(new: str, old: str, kind: str, standing: Standing, book: RoomBook, now: dt.datetime) -> bool:
    """Whether notes with the new name, and with the old one, are then read as meant."""
    then = standing.model_copy(deep=True)
    rename(then, old, new)
    reader = Reader(Names.of(card_of(then, book)))
    for name in (new, old):
        note = {"culture": f"fed {name}", "line": f"sold 6 {name} to Tom", "place": f"6 dead {name}"}[kind]
        events = [e.outside() for e in reader.read(note, now).events]
        if not any(new in (e.get("place"), e.get("line"), e.get("culture"), *e.get("places", ())) for e in events):
            return False
    return True
