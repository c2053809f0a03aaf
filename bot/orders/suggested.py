"""What a keeper says to a suggestion: a quarantine that is over or longer, groups that stay together, lines run low."""

from __future__ import annotations

import re

from bot import sentences as say
from bot.routine.chores import due_list
from bot.routine.taken import Scene, Taken, told
from bot.routine.words import Where
from shared.due.suggestions import quarantine_over
from shared.events import RoutineSet, TaskDone
from storage.journal import RoomBook

_OVER = re.compile(
    r"^(?:the )?quarantine (?:(?:in|of|for) (?P<where>.+?) )?(?:is |was )?(?:over|done|ended|finished)"
    r"(?: (?:in|of|for) (?P<there>.+))?$|^(?P<out>.+?) (?:is|are) out of quarantine$"
)
_LONG = re.compile(
    r"^(?:make )?(?:the )?quarantine(?: (?:in|for) (?P<where>.+?))? ?(?:is|lasts|of|for|takes|:)? ?"
    r"(?P<days>(?:\d{1,2}|two|three|four|five|six|eight) (?:days|weeks))(?: (?:in|for) (?P<there>.+))?$"
)
_ROW = r"b\d+(?:(?:,| and|,? &) ?b\d+)+"
_TOGETHER = re.compile(
    rf"^(?:(?P<names>{_ROW})|they|these|those) (?:are (?:one|the same)(?: batch)?|(?:can |may )?stay together)$"
    rf"|^(?:keep|leave) (?:(?P<kept>{_ROW})|them|these|those) together(?: in (?P<place>.+))?$"
)
_LOW = re.compile(
    r"^(?:(?:what|who|which(?: lines?)?|any(?: lines?)?)(?:'s| is| are)? |anything |lines? )?running low(?: on fish)?$"
    r"|^which lines? (?:is|are) (?:down to (?:one pair|a pair|few)|at risk|few)$"
)


def suggested_order(text: str, scene: Scene, book: RoomBook) -> Taken | None:
    """What a word about a suggestion comes to; None when it is none."""
    if hit := _OVER.match(text):
        return _over(scene, hit["where"] or hit["there"] or hit["out"])
    if hit := _LONG.match(text):
        return _long(scene, hit["days"], hit["where"] or hit["there"])
    if hit := _TOGETHER.match(text):
        return _stay(scene, book, re.findall(r"b\d+", hit["names"] or hit["kept"] or ""), hit["place"])
    return Taken(answer=running_low(scene, book)) if _LOW.match(text) else None


def _quarantines(scene: Scene, named: str | None) -> list[str]:
    """The quarantine tanks meant: those named, or the only one with fish in it."""
    where = scene.words.where(named) if named else Where()
    places = scene.standing.places.values()
    ours = [p.name for p in places if p.role == "quarantine" and not p.closed and scene.standing.at_place(p.name)]
    if where is None:
        return []
    return [p for p in ours if p in where.places] if where.places else ours if where.room else []


def _over(scene: Scene, named: str | None) -> Taken | None:
    spots = _quarantines(scene, named)
    if len(spots) != 1:
        return None
    return Taken((TaskDone(task=quarantine_over(spots[0]), place=spots[0]),))


def _long(scene: Scene, length: str, named: str | None) -> Taken | None:
    span = scene.words.days(length)
    where = scene.words.where(named) if named else Where()
    if span is None or where is None:
        return None
    days = (span.last - span.first).days + 1
    return told([RoutineSet(what="quarantine_days", value=days, **where.keys())], scene)


def _stay(scene: Scene, book: RoomBook, names: list[str], at: str | None) -> Taken | None:
    """Groups in one place that the keeper leaves there; each keeps its own count."""
    batches = [scene.words.names.batch_ids.get(n) for n in names]
    where = scene.words.where(at) if at else None
    tasks = [t for t in due_list(scene.standing, book, scene.now) if t.task == "keep_apart"]
    if where and where.places:
        tasks = [t for t in tasks if t.place in where.places]
    if names:
        tasks = [t for t in tasks if {h.group for h in scene.standing.at_place(t.place or "")}.issuperset(batches)]
    if len(tasks) != 1 or not tasks[0].place:
        return None
    place = tasks[0].place
    groups = list(dict.fromkeys(h.group for h in scene.standing.at_place(place) if h.stage != "adults"))
    line = f"{say.first_up(place)}: {say.listed(groups)} stay together; each keeps its own count."
    return Taken((TaskDone(task="keep_apart", place=place),), (line,))


def running_low(scene: Scene, book: RoomBook) -> str:
    """Which lines may be lost, and why that is thought."""
    tasks = [t for t in due_list(scene.standing, book, scene.now) if t.task == "few_left"]
    lines = [f"{say.first_up(t.text or '')} ({t.place}): {t.why}." for t in tasks]
    return "\n".join(lines) or "No line that is counted is down to a pair or one sex, or old with nothing behind it."
