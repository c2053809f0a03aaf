"""How many males, females and unsexed stand in a place, of a line, or in all."""

from __future__ import annotations

import re

from bot import sentences as say
from bot.routine.taken import Scene, Taken

_ASKED = re.compile(
    r"^how many (?:males|females|males and females|pairs)(?: (?P<line>[\w -]+?))??(?: (?:do (?:i|we) have|are there))?"
    r"(?: (?:are |stand )?(?:in|of) (?P<of>.+))?$"
)


def sexes_asked(text: str, scene: Scene) -> Taken | None:
    """The answer to such a question; fish that are not counted by sex are said to be so, not guessed."""
    hit = _ASKED.match(text)
    said = (hit["of"] or hit["line"]) if hit else None
    where = scene.words.where(said) if said else None
    if hit is None or (said and (where is None or not (where.places or where.line or where.batch))):
        return None
    held = [h for h in scene.standing.holdings.values() if h.stage in ("juveniles", "adults")]
    if where:
        held = [h for h in held if h.place in where.places or where.batch == h.group or where.line == h.line]
    known = [h for h in held if h.male or h.female]
    lines = []
    for h in known:
        rest = f", {h.unsexed} unsexed" if h.counted and h.unsexed else ""
        males, females = say.count(h.male, "male"), say.count(h.female, "female")
        lines.append(f"{h.group} in {h.place or 'hand'}: {males}, {females}{rest}.")
    blank = [h for h in held if h not in known]
    if blank:
        lines.append(f"Not counted by sex: {say.listed(f'{h.group} in {h.place}' for h in blank)}.")
    return Taken(answer="\n".join(lines) or "No grown or growing fish of that are on record.")
