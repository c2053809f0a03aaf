"""What is asked of the routine in few words: whose it is, which tanks need it, what can wait, how often, when next."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable, Sequence

from bot import sentences as say
from bot.routine.chore_list import CHORES, SOON, closely, in_a_row, listed
from bot.routine.chore_words import CHORE, CHORE_WORDS
from bot.routine.chores import due_for_person, due_list
from bot.routine.resting import CAN_WAIT
from bot.routine.shown import how_often, water_changes, whose_it_is
from bot.routine.taken import Scene, Taken
from bot.routine.words import Where
from shared.due.rounds import WATER
from shared.due.rules import ROOM, spot_of
from shared.due.tasks import NEVER, DueTask
from shared.due.usual import EVERY_DAYS, PER_DAY
from storage.journal import RoomBook

LOOKED_AHEAD_DAYS = 40
_KINDS = r"(?:tanks?|tubs?|places?|ones?|chores?|jobs?)"
_WHICH = re.compile(
    rf"^(?:which|what) (?P<kind>{_KINDS}) (?:still )?(?:needs?|wants?|are (?:still )?due for|get) "
    rf"(?:their |the |a |an |new |fresh )?(?P<chore>{CHORE}|water)(?: (?:today|now|done|pulled|changed))?$"
)
_DUE_OF = re.compile(rf"^(?:what(?:'s| is) )?(?:still )?due (?:for|of|with|in|on) (?:the |my )?(?P<chore>{CHORE})$")
_LATE = re.compile(rf"^(?:which|what) {_KINDS} (?:are|is) (?:late|overdue|behind)$")
_WAIT = re.compile(r"^what (?P<can>can|cannot|can't|can not|must not|mustn't) wait(?: today| till tomorrow)?$")
_OFTEN = re.compile(
    rf"^how often (?:(?:do|should|must|shall) (?:i|we)|are|is) (?:do |to )?(?:the |my )?(?P<chore>{CHORE})"
    r"(?: (?:pulled|done|changed|cleaned|fed|tested|restarted))?(?: (?:in|of|for) (?P<where>.+?))?(?: due)?$"
)
_NEXT = re.compile(
    rf"^when(?:'s| is| are) (?:the |my )?next (?P<chore>{CHORE})(?: due)?(?: (?:in|of|for) (?P<where>.+?))?(?: due)?$"
)
_THEIRS = re.compile(
    r"^(?:show |send )?(?:what(?:'s| is| are) )?(?:(?P<who>[^\W\d_]+)'s|(?P<my>my)) (?:due )?(?:list|chores|jobs|round)"
    r"(?: for)?(?: today)?$|^what(?:'s| is) due for (?P<for>[^\W\d_]+)(?: today)?$"
)
_WHO_DOES = re.compile(
    r"^who (?:does|has|is doing|looks after) (?:what|everything|the (?:mornings?|noons?|afternoons?|evenings?|nights?|"
    rf"weekends?|{CHORE}))$"
)


def asked(text: str, scene: Scene, book: RoomBook) -> Taken | None:
    """The answer to a question of this kind; None for any other words."""
    for known in (_whose, _which, _late, _wait, _often, _next):
        answer = known(text, scene, book)
        if answer is not None:
            return Taken(answer=answer)
    return None


def _whose(text: str, scene: Scene, book: RoomBook) -> str | None:
    if _WHO_DOES.match(text):
        return whose_it_is(scene.standing, scene.now)
    hit = _THEIRS.match(text)
    if not hit:
        return None
    person = scene.speaker if hit["my"] else scene.words.person(hit["who"] or hit["for"])
    return due_for_person(scene.standing, book, scene.now, person, own=not hit["my"]) if person else None


def _list(scene: Scene, book: RoomBook, wanted: Callable[[DueTask], bool], nothing: str) -> str:
    tasks = [t for t in due_list(scene.standing, book, scene.now) if wanted(t)]
    return listed(tasks, scene.now) if tasks else nothing


def _which(text: str, scene: Scene, book: RoomBook) -> str | None:
    hit = _WHICH.match(text) or _DUE_OF.match(text)
    if not hit:
        return None
    tasks, kind = CHORE_WORDS.get(hit["chore"]) or tuple(WATER), hit.groupdict().get("kind") or ""
    kind = kind.rstrip("s") if kind.startswith(("tank", "tub")) else ""
    places = scene.standing.places

    def wanted(task: DueTask) -> bool:
        place = places.get(task.place or "")
        return task.task in tasks and not task.text and (not kind or (place is not None and place.kind == kind))

    return _list(scene, book, wanted, "None of them today.")


def _late(text: str, scene: Scene, book: RoomBook) -> str | None:
    return _list(scene, book, lambda t: t.overdue(scene.now), "Nothing is overdue.") if _LATE.match(text) else None


def _wait(text: str, scene: Scene, book: RoomBook) -> str | None:
    hit = _WAIT.match(text)
    if not hit:
        return None
    can, soon = hit["can"] == "can", scene.now + SOON
    nothing = "Nothing of today can wait." if can else "Nothing that cannot wait is due."
    return _list(
        scene, book, lambda t: t.due <= soon and (t.task in CAN_WAIT or t.grace == NEVER) == can, nothing
    )  # fmt: skip


def _named(words: str | None, scene: Scene) -> Where | None:
    """Where a question is about; None where the words name no place."""
    where = scene.words.where(words) if words else Where()
    return where if where and (not words or len(where.places) == 1) and not (where.batch or where.line) else None


def _often(text: str, scene: Scene, book: RoomBook) -> str | None:
    hit = _OFTEN.match(text)
    where = _named(hit["where"], scene) if hit else None
    if not hit or where is None:
        return None
    tasks = [t for t in CHORE_WORDS[hit["chore"]] if t in PER_DAY or t in EVERY_DAYS]
    spot = spot_of(scene.standing, where.places[0]) if where.places else ROOM
    at = f", {where.places[0]}" if where.places else ""
    if tasks == ["water_change"] and spot == ROOM:
        return f"{CHORES['water_change']}: {water_changes(scene.standing, scene.now)}."
    lines = [f"{CHORES[task]}{at}: {how_often(task, spot, scene.standing, scene.now)}." for task in tasks]
    return "\n".join(lines) or None


def _next(text: str, scene: Scene, book: RoomBook) -> str | None:
    hit = _NEXT.match(text)
    where = _named(hit["where"], scene) if hit else None
    if not hit or where is None:
        return None
    wanted = CHORE_WORDS[hit["chore"]]
    tasks = [
        t
        for t in due_list(scene.standing, book, scene.now, days=LOOKED_AHEAD_DAYS)
        if t.task in wanted and not t.text and (not where.places or t.place in where.places)
    ]
    return _soonest(tasks, scene.now) if tasks else f"None is due within {LOOKED_AHEAD_DAYS} days."


def _soonest(tasks: Sequence[DueTask], now: dt.datetime) -> str:
    first = min(tasks, key=lambda t: t.due.astimezone(dt.UTC))
    mine = [t for t in tasks if t.due.date() == first.due.date()]
    if len({t.place for t in mine}) > 1:
        return f"{_when(first, now)}: {in_a_row(mine)}."
    if first.due <= now:
        return closely(mine[:1], now)
    return f"{_when(first, now)}: {in_a_row(mine[:1])} — {first.why}."


def _when(task: DueTask, now: dt.datetime) -> str:
    since = "since " if task.due.date() < now.date() else ""
    return say.first_up(since + say.day(task.due, now.date()))
