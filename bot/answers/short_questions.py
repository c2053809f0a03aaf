"""Short questions that need no more than the words themselves: who is in a tank, whether all is well, what comes first.

Strict like an order: every word must be understood, else they are read like any question.
"""

# ruff: noqa: E501  (patterns of words are read as tables)

from __future__ import annotations

import datetime as dt
import re

from bot import sentences as say
from bot.answers.asking import Asking
from bot.answers.how_it_stands import place_text
from bot.answers.stock import stage_text, stock_of
from bot.answers.whereabouts import all_places, holds, in_peat
from bot.language import Query
from bot.routine.chore_list import CHORES
from bot.routine.chores import due_list, due_told
from bot.routine.taken import Scene, Taken
from bot.talk.emergencies import answer_emergency, open_emergencies
from bot.unasked.nightly import nightly, nightly_picture
from shared.due.tasks import tasks_said
from shared.ledger.standing import Holding
from storage.journal import RoomBook

SOON = dt.timedelta(hours=2)
LATELY = dt.timedelta(days=7)
MOST_BATCHES = 16
_NIGHTLY = re.compile(
    r"^(?:(?:show|send|give)(?: me)? )?(?:the |tonight's |today's )?(?:nightly|night(?:ly)? (?:message|report|summary)|"
    r"evening (?:message|report|summary))(?: (?:message|report|summary))?(?: (?:now|please|early))?$"
    r"|^(?:what(?:'s| is) (?:in )?)?tonight's message$"
)
_FIRST = re.compile(
    r"^(?:so |ok |now )?(?:what(?:'?s| is| do i do| should i do| to do| comes)?|where (?:do i|should i) (?:start|begin)|which)"
    r"(?: (?:first|now|next|should i do (?:first|now|next)|most urgent|the most urgent|urgent))?(?: thing)?$"
)
_WHO = re.compile(
    r"^(?:who(?:'?s| is| are| lives)?|what(?:'?s| is| are)?(?: living| swimming)?|which fish(?: are| live)?|what fish(?: are| live)?)"
    r" in (?P<where>.+?)(?: now| again| these days)?$"
)
_WRONG = re.compile(
    r"^(?:is |are )?(?:there )?(?:anything|something|any(?: problems?| trouble| issues?)|problems?|trouble) ?"
    r"(?:wrong|off|amiss|up|going on|the matter)? ?(?:in|with|about|on) (?P<where>.+)$"
    r"|^(?:is |are )(?:everything|all|things|it all) (?:ok|okay|well|fine|good|alright|all right) (?:in|with) (?P<well>.+)$"
    r"|^(?:is |are )(?P<ok>.+?) (?:ok|okay|alright|all right|doing (?:ok|okay|well|fine))$"
)
_OLDEST = re.compile(
    r"^(?:what(?:'?s| is| are)?|which(?: is| are)?|where (?:is|are)|how old (?:is|are)) (?:the |my |our )?"
    r"(?P<end>oldest|youngest|biggest|newest) (?P<stage>fry|juveniles?|young|babies|eggs?)(?: (?:now|here|in here))?$"
)
_ALL_OF = re.compile(
    r"^(?:(?:list|show|give|tell|see)(?: me)? )?(?:(?:all|all of|what are|what's in|whats in|what is in) )?(?:my|the|our|all|all my|all the)? ?"
    r"(?P<what>tanks|tubs|batches|fish|eggs|fry)(?: (?:i|we) have| there are| in (?:the|my) room)?(?: please)?$"
    r"|^(?:what|which) (?P<asked>batches) (?:do (?:i|we) have|are there|are alive|are on record|have (?:i|we))$"
)
_EGG_TUBS = re.compile(r"^(?:where|which|what) are (?:the |my |our )?egg tubs$")
_HOW = re.compile(
    r"^how (?:do|should|must|can) (?:i|we|you) (?:do|change|pull|feed|clean|pick|look|water|start|harvest|give)\b.{0,40}$"
)
_AT_THE_MACHINE = re.compile(
    r"^(?:(?:make|do|send|run|show|give)(?: me)? )?(?:a |the |my )?(?P<what>backup|export|calendar|ics)(?: (?:everything|all|it|file|now|sales"
    r"|events|the record|my data))?$"
)
_WITH = {"backup": " FOLDER", "export": " events --out FILE", "calendar": " --out FILE.ics"}
_PEAT = re.compile(
    r"^(?:what|which|what's|whats|which eggs|what eggs|which batches|list)(?: is| are| lies| do i have)? in (?:the )?(?:damp )?peat(?: now)?$"
)


def short_question(text: str, scene: Scene, book: RoomBook, *, brief: bool = False) -> Taken | None:
    """The answer to such a question; None where it is none."""
    if _NIGHTLY.match(text):
        told = nightly(book, scene.now, short=brief)
        return Taken(answer=told, picture=None if brief else nightly_picture(book, scene.now))
    if (hit := _FIRST.match(text)) and re.search(r"\b(?:first|now|next|urgent|start|begin)\b", text):
        return Taken(answer=_first(scene, book))
    if (hit := _ALL_OF.match(text)) and " " in text:
        return Taken(answer=_all_of(hit["what"] or hit["asked"], scene, book))
    if hit := _AT_THE_MACHINE.match(text):
        word = "calendar" if hit["what"] == "ics" else hit["what"]
        return Taken(answer=f"That is done at the machine: `roomhand {word}{_WITH[word]}`.")
    if _PEAT.match(text):
        return Taken(answer=in_peat(Asking(Query("place"), scene.standing, book, scene.now, "", text)))
    if (hit := _HOW.match(text)) and (how := _how(hit[0], scene, book)):
        return Taken(answer=how)
    if _EGG_TUBS.match(text):
        named = [p.name for p in scene.standing.places.values() if p.role == "eggs" and not p.closed]
        asks = [Asking(Query("place", place=p), scene.standing, book, scene.now, "", text) for p in named[:6]]
        return Taken(answer="\n".join(place_text(a, str(a.query.place)) for a in asks)) if asks else None
    if hit := _OLDEST.match(text):
        return Taken(answer=_by_age(hit["end"], hit["stage"], scene, book))
    if hit := _WHO.match(text):
        spots = _spots(hit["where"], scene)
        asks = [Asking(Query("place", place=p), scene.standing, book, scene.now, "", text) for p in spots]
        return Taken(answer="\n".join(place_text(a, str(a.query.place)) for a in asks)) if asks else None
    if hit := _WRONG.match(text):
        spots = _spots(hit["where"] or hit["well"] or hit["ok"], scene)
        return Taken(answer="\n".join(_how_well(p, scene, book) for p in spots)) if spots else None
    return None


def _how(words: str, scene: Scene, book: RoomBook) -> str | None:
    """How a chore is done, as the list of what is due tells it; None where the words name none."""
    meant = tasks_said(re.sub(r"^how \w+ \w+ ", "", words), True)
    if not meant or words.startswith("how can i log"):
        return None
    for task in due_list(scene.standing, book, scene.now, days=8):
        if task.task == meant[0] and task.how:
            return f"{CHORES[task.task]}: {task.how}."
    return None


def _all_of(what: str, scene: Scene, book: RoomBook) -> str:
    """Every tank, tub or batch in a line; fish, eggs and fry by their numbers."""
    standing = scene.standing
    if what in ("tanks", "tubs"):
        return all_places(Asking(Query("place"), standing, book, scene.now, "", what), what.removesuffix("s"))
    if what == "fish":
        return stock_of(standing)
    if what in ("eggs", "fry"):
        return stage_text(list(standing.holdings.values()), (what,), what)
    told = []
    for batch in standing.batches.values():
        if held := [h for h in standing.of_group(batch.name) if h.number != 0]:
            where = "; ".join(f"{holds(h)}{f', {h.place}' if h.place else ', in hand'}" for h in held)
            told.append(f"{batch.name} ({batch.line}): {where}.".replace(f" of {batch.name}", ""))
    more = (
        [f"… and {say.listed(line.partition(' ')[0] for line in told[MOST_BATCHES:])}."] if told[MOST_BATCHES:] else []
    )
    return "\n".join([*told[:MOST_BATCHES], *more]) or "No batches are on record."


def _spots(words: str, scene: Scene) -> list[str]:
    where = scene.words.where(words)
    named = [p for p in where.places if p in scene.standing.places] if where else []
    return named if len(named) < 5 else []


def _first(scene: Scene, book: RoomBook) -> str:
    """What is going on, else the one chore that comes first, with the two after it."""
    if going := open_emergencies(book, scene.now):
        return answer_emergency(going[0][0], scene.standing, book, scene.now)
    told = due_told(scene.standing, book, scene.now, Query("due"))
    lines = told.text.split("\n")
    first = [line for line in lines if line.startswith("!")] or lines[:1]
    after = [line for line in lines if line not in first and not line.startswith(("Later", "…"))][:2]
    return "\n".join([f"First: {first[0].removeprefix('! ')}", *after]) if len(lines) > 1 else told.text


def _by_age(end: str, stage: str, scene: Scene, book: RoomBook) -> str:
    """The oldest or youngest eggs, fry or juveniles, with the day they are of."""
    wanted: tuple[str, ...] = ("fry", "juveniles") if stage in ("young", "babies") else ("juveniles",)
    if stage == "fry" or stage.startswith("egg"):
        wanted = ("fry",) if stage == "fry" else ("eggs",)
    standing = scene.standing
    aged: list[tuple[dt.datetime, Holding]] = []
    for h in standing.holdings.values():
        batch = standing.batches.get(h.group)
        begun = (batch.laid_from if h.stage == "eggs" else batch.fry_seen) if batch else None
        if h.stage in wanted and begun and h.number != 0:
            aged.append((begun, h))
    if not aged:
        return f"No {say.listed(wanted)} with a known day are on record."
    aged.sort(key=lambda found: found[0], reverse=end in ("youngest", "newest"))
    at, held = aged[0]
    days = (scene.now - at).days
    word = "laid" if held.stage == "eggs" else "hatched"
    day = say.day(at.astimezone(book.info.zone), scene.now.date())
    where = f" in {held.place}" if held.place else ""
    number = say.fish(held.number, held.stage) if held.counted else held.stage
    return f"{held.group} ({held.line}): {number}{where}, {word} {day}, {say.count(days, 'day')} old."


def _how_well(place: str, scene: Scene, book: RoomBook) -> str:
    """What was seen there in the last week that may matter, and what waits; nothing is diagnosed."""
    zone, now = book.info.zone, scene.now
    seen = []
    for e in book.entries(name=place, kinds=("remark", "death"), since=now - LATELY, until=now):
        text = getattr(e.event, "text", "") or f"{getattr(e.event, 'count', None) or 'some'} dead"
        seen.append(f"{say.moment(e.at, zone, now)}: {text}")
    read = []
    for quantity in ("temperature", "ammonia", "nitrite", "nitrate"):
        found = scene.standing.latest(place, quantity)
        if found and now - found.at < LATELY:
            read.append(f"{say.reading(quantity, found.value, book.info.units)} ({say.ago(found.at, now)})")
    late = [t for t in due_list(scene.standing, book, now) if t.place == place and t.due <= now]
    lines = [f"{place}: {'; '.join(seen[-4:])}." if seen else f"{place}: no losses or remarks in the last week."]
    if read:
        lines.append(f"Read: {', '.join(read)}.")
    else:
        lines.append("No temperature, ammonia or nitrite was logged in the last week.")
    if late:
        lines.append(f"Waiting: {say.listed(dict.fromkeys(t.task.replace('_', ' ') for t in late))}.")
    return "\n".join(lines)
