"""What a keeper has besides tanks with fish, told at the start: bags of peat with their days, and live foods.

Strict on purpose: every word must be understood, else it is read as a note.
"""

from __future__ import annotations

import re
from typing import Any

from bot import sentences as say
from bot.orders.on_hand import days_said, events_of
from bot.orders.setting_up import line_said, new_line
from bot.routine.taken import Scene, Taken
from bot.talk.questions import Asked

PEAT_BAG = "peat bag"
_BAGS = re.compile(
    r"^(?:i have |i've got |there (?:is|are) |we have )?(?P<n>a|one|two|three|four|five|six|\d{1,2}) bags? of "
    r"(?P<line>.+?) (?:peat|eggs in peat)(?:,|:)? (?P<days>.+)$"
    r"|^(?:i have |there is )?(?P<line2>.+?) peat (?:bag(?:ged)? )?(?P<days2>(?:from|bagged|collected|laid) .+)$"
)
_EACH = re.compile(
    r"(?:^|,? and |, )(?:(?:the )?(?:one|other|first|second|third) )?(?:(?:is|was) )?"
    r"(?:(?:from|bagged|collected|laid)(?: on)? |(?<=one )|(?<=other )|(?<=first )|(?<=second )|(?<=third ))"
)
_KEEP = re.compile(
    r"^(?:i|we) (?:keep|have|grow|culture|raise|run|feed)(?: a| some| my own)?(?: cultures? of)? "
    r"(?P<what>.+?)(?: cultures?| going)?$"
    r"|^(?:live foods?|cultures?)(?: are| is|:)? (?P<list>.+)$"
)
# What live foods are called, and the name they get: worms are numbered, for they are started again beside the old one.
_FOODS = {
    "microworm": "microworm 1", "micro worm": "microworm 1", "micros": "microworm 1", "banana worm": "banana worm 1",
    "walter worm": "walter worm 1", "vinegar eel": "vinegar eel", "grindal": "grindal 1", "grindal worm": "grindal 1",
    "white worm": "white worm 1", "whiteworm": "white worm 1", "daphnia": "daphnia", "moina": "moina",
    "infusoria": "infusoria", "paramecium": "paramecium", "paramecia": "paramecium", "rotifer": "rotifer",
    "brine shrimp": "brine shrimp", "baby brine": "brine shrimp", "baby brine shrimp": "brine shrimp",
    "bbs": "brine shrimp", "artemia": "brine shrimp", "green water": "green water", "blackworm": "blackworm",
    "fruit fly": "fruit fly", "flightless fruit fly": "fruit fly",
}  # fmt: skip


_BEGUN = re.compile(
    r"^(?:i |we )?(?:have |just )?(?:started|start|set up|new|began|begun)(?: up)? (?:a |an |the |some |new |another )*"
    r"(?P<what>[a-z ]+?)(?: going)?$|^(?P<said>[a-z ]+?) (?:is |are |was )?(?:started|set up|going|begun)$"
)


def kept_besides(text: str, scene: Scene) -> Taken | None:
    """Peat and live foods on hand, or None when the text tells no such thing."""
    return _peat(text.replace("’", "'"), scene) or _foods(text, scene) or _begun(text, scene)


def _begun(text: str, scene: Scene) -> Taken | None:
    """ "Infusoria started" where none is kept: offered to be taken up."""
    hit = _BEGUN.match(text)
    name = _food((hit["what"] or hit["said"]).strip()) if hit else None
    if name is None or any(re.sub(r" \d+$", "", name) in c for c in scene.standing.cultures):
        return None
    raw = ({"kind": "new_culture", "culture": name}, {"kind": "culture", "culture": name, "action": "start"})
    question = f"No {name} is kept here yet. Take it up as a culture, started now?"
    return Taken(asked=Asked(question, scene.now, (("yes", raw), ("no", ()))))


def _peat(text: str, scene: Scene) -> Taken | None:
    hit = _BAGS.match(text)
    said = (hit["line"] or hit["line2"]).strip() if hit else ""
    found = line_said(said, scene.standing) if said else None
    if not hit or not found or found[2] != len(said):
        return None
    parts = [p for p in _EACH.split(hit["days"] or hit["days2"]) if p]
    days = [days_said(p.strip(" ,."), scene.now, scene.words.names) for p in parts]
    wanted = {"a": 1, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6}
    number = wanted.get(hit["n"] or "a") or int(hit["n"])
    if len(days) != number or any(d is None or d[1] > scene.now.date() for d in days):
        return None
    line, species, _ = found
    raw: list[dict[str, Any]] = [] if line in scene.standing.lines else [new_line(line, species)]
    told = []
    for n, day in enumerate((d for d in days if d), scene.standing.last_batch + 1):
        span = {"laid_from": day[0].isoformat(), "laid_to": day[1].isoformat(), "medium": "peat"}
        raw.append({"kind": "new_batch", "batch": f"B{n}", "line": line, "place": PEAT_BAG, "stage": "eggs", **span})
        told.append(f"B{n} from {say.day(day[1], scene.now.date())}")
    return Taken(events_of(raw), (f"Put down: {line} eggs in peat, {say.listed(told)}, not counted.",))


def _foods(text: str, scene: Scene) -> Taken | None:
    hit = _KEEP.match(text)
    if not hit:
        return None
    named = [_food(part) for part in re.split(r"\s*,\s*(?:and )?|\s+and\s+|\s*&\s*", hit["what"] or hit["list"])]
    if not named or not all(named):
        return None
    kept = tuple(scene.standing.cultures)
    fresh = [n for n in dict.fromkeys(n for n in named if n) if not any(c.startswith(n) for c in kept)]
    if not fresh:
        return Taken(answer=f"{say.first_up(say.listed(n for n in named if n))}: known here already.")
    lines = (f"Live foods: {say.listed(fresh)}.", f"“started {fresh[0]}” or “{fresh[0]} crashed” tells of them.")
    return Taken(events_of([{"kind": "new_culture", "culture": n} for n in fresh]), lines)


def _food(said: str) -> str | None:
    plain = re.sub(r"^(?:a|an|some|my|the|two|one) ", "", said.strip())
    plain = re.sub(r" cultures?$", "", plain)
    ones = (plain, plain.removesuffix("s"), re.sub(r"ies$", "y", plain))
    return next((_FOODS[one] for one in ones if one in _FOODS), None)
