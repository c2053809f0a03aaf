"""What nobody can account for: how many of each batch or line, since which count, and where."""

from __future__ import annotations

import re

from bot import sentences as say
from bot.routine.taken import Scene, Taken
from shared.ledger.standing import unexplained
from storage.journal import RoomBook

MOST_SHOWN = 3  # of the counts behind one group's number
_ASKED = re.compile(
    r"^(?:what(?:'s| is| are)?|which|how many|how much|any|is anything|are any|show(?: me)?|list)?(?: the| all)? ?"
    r"(?:(?:fish|eggs|fry) )?(?:is |are )?unaccounted(?: for)?(?: (?:fish|eggs|fry))?"
    r"(?: (?:in|of|for|from) (?P<of>.+))?$"
    r"|^how many(?: fish)? are (?:missing|unaccounted for)(?: (?:in|of|from) (?P<of2>.+))?$"
)


def unaccounted(text: str, scene: Scene, book: RoomBook) -> Taken | None:
    """The answer to such a question; None when it is none, or names what is not known."""
    hit = _ASKED.match(text)
    if hit is None:
        return None
    of = hit["of"] or hit["of2"]
    where = scene.words.where(of) if of else None
    if of and where is None:
        return None
    found = [_told(group, scene, book) for group in _groups(scene) if where is None or _fits(group, where, scene)]
    lines = [line for line in found if line]
    return Taken(answer="\n".join(lines) or "Nothing is unaccounted for.")


def _groups(scene: Scene) -> list[str]:
    lines = (key.rpartition("|")[0] for key in scene.standing.group_tallies)
    return [*scene.standing.batches, *dict.fromkeys(lines)]


def _fits(group: str, where: object, scene: Scene) -> bool:
    batch, line, places = (getattr(where, name, None) for name in ("batch", "line", "places"))
    if batch or line:
        return group == batch or scene.standing.line_of(group) == line
    return any(h.place in (places or ()) for h in scene.standing.of_group(group))


def _told(group: str, scene: Scene, book: RoomBook) -> str | None:
    """`B14 (gardneri): 24 fish unaccounted for: 24 fewer counted Mon 9 Mar in tank 13.`"""
    standing, zone = scene.standing, scene.now.tzinfo
    sums = {side: standing.tally(group, side).unaccounted for side in ("eggs", "fish")}
    told = [
        f"{_so_many(n, side)} {'unaccounted for' if n > 0 else 'more than on record'}" for side, n in sums.items() if n
    ]
    if not told:
        return None
    because = []
    for entry in book.entries(name=group, kinds=("headcount", "hatch", "move"), newest_first=True):
        day, place = say.day(entry.at.astimezone(zone), scene.now.date()), f" in {entry.place}" if entry.place else ""
        for _, many, _ in unexplained(entry, group):
            seen = "counted" if entry.event.kind == "headcount" else "hatched"
            because.append(f"{abs(many)} {'fewer' if many > 0 else 'more'} {seen} {day}{place}")
    left = len(because) - MOST_SHOWN
    shown = "; ".join(because[:MOST_SHOWN]) + (f"; {left} more times before" if left > 0 else "")
    name = group if group == standing.line_of(group) else f"{group} ({standing.line_of(group)})"
    return f"{name}: {' and '.join(told)}{f': {shown}' if shown else ''}."


def _so_many(number: int, side: str) -> str:
    return f"{abs(number)} {'egg' if side == 'eggs' and abs(number) == 1 else side}"
