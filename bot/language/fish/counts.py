"""Fish counted, living."""

from __future__ import annotations

import re
from typing import Any

from bot.language.clauses.group import Group, paired
from bot.language.eggs import breeders, egg_places
from bot.language.scene import Part
from bot.language.telling import Sight, Teller


def numbers_of(part: Part) -> list[object]:
    return [t for t in part.tags if t.kind == "num" and t.note != "quoted"]


def egg_spot(event: dict[str, Any], teller: Teller) -> bool:
    """Whether an event's place or batch holds eggs."""
    place, batch = event.get("place"), event.get("batch")
    held = [b for b in teller.names.batches if b.place == place or b.name == batch]
    return any(b.stage == "eggs" for b in held)


def _fewer_than_were(part: Part, teller: Teller) -> bool:
    """Whether the one number of a clause may be what is left of the one batch counted in the place it names."""
    nums, places = part.kind("num"), part.kind("place")
    if len(nums) != 1 or len(places) != 1 or len(places[0].value) != 1:
        return False
    held = teller.names.batches_in(places[0].value[0])
    return len(held) == 1 and (held[0].count or 0) * 0.6 <= nums[0].value < (held[0].count or 0)


def _sexes_alone(part: Part, teller: Teller) -> bool:
    """Whether a clause is nothing but "8 boys, 14 girls", of the tank just spoken of."""
    plain = all(t.kind in ("num", "sep", "punct") or t.says("noun", "male", "female") for t in part.tags)
    return plain and part.before is None and len(teller.context.places) == 1 and not teller.events


IT_IS_NOW = re.compile(
    r"(?:and )?(?:it's|its|it is|now)(?: back)?(?: up| down)?(?: to| at| reading)? \S+(?: now| again)?$"
)


def sees_count(part: Part, teller: Teller) -> Sight | None:
    nums = numbers_of(part)
    if part.sense("item") and not part.cues("count"):
        return None
    if part.text().endswith("by my count"):
        return None  # of what was just told
    cue = [t for t in part.cues("count") if not (t.word in ("count", "counts", "counting") and not nums)]
    if cue and (nums or (part.kind("place", "batch", "size") and part.has("left"))):
        return Sight(4, (*cue, *part.cues("left", "gave")))
    if IT_IS_NOW.match(part.text()) and teller.context.kind in ("water_change", "service", "dose"):
        return None  # the water, after what was done to it
    left = part.cues("left")
    if left and "to hatch" in part.text():
        return None
    if left and teller.context.kind == "pull" and not part.kind("place", "batch") and not part.noun("fish", "adults"):
        for tag in part.kind("num"):
            tag.claimed = "left"  # eggs that stay in the mop are no count of the fish
        return None
    if (
        left
        and all(t.word in ("now", "still") for t in left)
        and teller.context.quantity
        and teller.context.kind in ("measure", "water_change")
        and not part.kind("place", "batch")
        and not part.noun("fry", "fish", "eggs", "juveniles", "adults")
    ):
        return None  # "nitrates 40, did half, now 20"
    sexed = [
        t for n, t in enumerate(part.tags) if n and t.says("noun", "male", "female") and part.tags[n - 1].kind == "num"
    ]
    if (
        len(sexed) == 2
        and len(part.tags) <= 9
        and (part.kind("place", "batch", "size") or "in" in part.words() or _sexes_alone(part, teller))
        and not part.has("move", "put", "sold", "hold", "bought", "dead", "lost")
        and not part.kind("person", "money")
    ):
        return Sight(3, tuple(left))
    if (
        left
        and nums
        and len(nums) == 2
        and any(t.kind == "num" and n and part.tags[n - 1].word == "in" for n, t in enumerate(part.tags))
        and not part.noun("eggs")
    ):
        return Sight(3, tuple(left))
    if (
        nums
        and teller.context.kind == "hatch"
        and part.words() & {"see", "counted", "counting", "found"}
        and len(nums) == 1
        and not part.kind("place", "batch")
        and teller.context.event is not None
        and teller.context.event.get("count") is None
    ):
        return Sight(3)
    if (
        left
        and left[0].word in ("down to", "is down to")
        and not (part.noun("eggs", "fry", "fish", "juveniles") or part.kind("batch") or egg_places(part, teller))
        and not _fewer_than_were(part, teller)
    ):
        return None
    if (
        left
        and nums
        and (
            teller.context.kind in ("bad_eggs", "death", "move", "headcount", "sale", "hatch", "water_change")
            or part.kind("place", "batch")
            or (part.joiner == ":" and part.before is not None and part.before.kind("place", "batch"))
        )
    ):
        if (
            part.kind("place")
            and left[0].word in ("now",)
            and not (part.noun("fry", "juveniles", "fish", "eggs", "adults") or part.kind("line", "batch"))
        ):
            return None
        if (
            left[0].word in ("in total", "altogether")
            and teller.context.kind not in ("death",)
            and not part.kind("place", "batch")
        ):
            return None
        return Sight(3, tuple(left))
    if nums and "still" in part.words() and len(nums) == 1 and len(part.tags) <= 4:
        return Sight(2)
    if (
        nums
        and part.noun("fry", "juveniles", "adults", "fish")
        and part.kind("place", "batch")
        and not part.sense("food")
        and len(part.kind("place", "batch")) == 1
        and len(part.tags) <= 5
        and not egg_places(part, teller)
    ):
        return Sight(2)
    if (
        nums
        and part.noun("eggs")
        and egg_places(part, teller)
        and part.words() & {"there", "has", "holds", "total", "got"}
    ):
        return Sight(2)
    return None


def tell_count(group: Group, teller: Teller) -> None:
    stage = group.stage()
    keys: dict[str, Any] = {}
    if stage and stage != "eggs":
        keys["stage"] = stage
    male = female = None
    tags = group.tags
    for n, tag in enumerate(tags):
        if tag.kind == "lex" and tag.says("noun", "male", "female") and n and tags[n - 1].kind == "num":
            if tag.says("noun", "male"):
                male = tags[n - 1]
            else:
                female = tags[n - 1]
    seq = group.sequence("count")
    if male is not None and female is not None:
        spots = [s for s in seq if s[0] in "PB"]
        others = [s for s in seq if s[0] == "N" and s[2] not in (male, female)]
        found = paired(spots)[0] if spots else ((), "", ..., [])
        places, kind = found[0], found[1]
        if not places:
            places, kind = teller.where(group, "headcount")
        if len(places) == 1 and len(others) <= 1 and group.unknown() is None:
            count = others[0][1] if others else male.value + female.value
            if count != male.value + female.value:
                teller.ask(
                    group,
                    f"{male.value:g} and {female.value:g} is not {count:g}. How many?",
                    "count",
                    {"kind": "headcount"},
                )
                return
            where = {"batch": places[0]} if kind == "B" else {"place": places[0]}
            teller.tell(
                "headcount", group, **where, count=count, male=int(male.value), female=int(female.value), **keys
            )
        else:
            teller.ask_place(group, {"kind": "headcount"})
        return
    event = teller.context.event
    if (
        event is not None
        and event["kind"] == "move"
        and event.get("from")
        and teller.context.sentence == group.sentence
        and group.cues("left")
        and not group.kind("place", "batch")
        and re.search(r"\b(leav\w+|left|remain\w*|stay\w*)\b", group.text())
    ):  # "moved 12 into 16, leaving 72": those are still where the others came from
        counts = [s for s in seq if s[0] == "N"]
        if len(counts) == 1:
            where = {"batch": event["batch"]} if event.get("batch") else {"place": event["from"]}
            teller.tell("headcount", group, **where, count=counts[0][1])
            return
    if (
        event is not None
        and event["kind"] == "hatch"
        and event.get("count") is not None
        and not group.kind("place", "batch", "line")
        and egg_spot(event, teller)
    ):
        for tag in group.kind("num"):  # "3 more hatched, so 5 now": of the fry, not of all that is in the egg tub
            tag.claimed = "corrected"
        return
    if (
        event is not None
        and event["kind"] == "hatch"
        and event.get("count") is None
        and not group.kind("place", "batch")
    ):
        single = [t for t in tags if t.kind == "num" and t.low is None and t.claimed != "wrong"]
        if len(single) == 1:
            event["count"] = int(single[0].value)
            _day, clock = teller.when(group)
            event["_clock"] = clock or event.get("_clock")
            teller.context.count = event["count"]
            return
    values = {s[1] for s in seq if s[0] == "N"}
    if len(values) == 1 and len([s for s in seq if s[0] == "N"]) > 1:  # counted twice, both alike
        kept = next(s for s in seq if s[0] == "N")
        for s in seq:
            if s[0] == "N" and s is not kept:
                s[2].claimed = "corrected"
        seq = [s for s in seq if s[0] in "PB" or s is kept]
    nums = [s for s in seq if s[0] == "N"]
    places_said = [s for s in seq if s[0] in "PB"]
    if len(nums) == 2 and not places_said and nums[0][2].kind == "num":
        place = group.place_id(nums[0][2])
        if place and any(t.kind == "sep" for t in tags):
            teller.tell("headcount", group, place=place, count=nums[1][1], **keys)
            return
    if len(nums) > 1 and len(places_said) == 1:
        last = nums[-1]
        text = group.text()
        if any(t.claimed == "corrected" for t in tags) or any(
            w in text for w in ("say", "call it", "so ", "now", "make it", "left")
        ):
            for other in nums[:-1]:
                other[2].claimed = "earlier"
            seq = [s for s in seq if s is last or s[0] in "PB"]
    laid_in = [str(v[0]) for k, v, _ in seq if k == "P" and len(v) == 1 and stage == "eggs"]
    if any(breeders(teller, p) and not any(b.stage == "eggs" for b in teller.names.batches_in(p)) for p in laid_in):
        # "the egg count of 1 was 24": eggs pulled there, or a number mended; never so many fish
        teller.ask(group, f"Eggs pulled from {laid_in[0]}? Say it like “pulled 24 eggs”; to mend: “24 not 20”.", "kind")
        return
    out = teller.counted(group, "headcount", **keys)
    for raw in out:
        if isinstance(raw.get("count"), int):
            teller.context.values["alive"] = raw["count"]
            teller.context.values["alive_at"] = (raw.get("place"), raw.get("batch"))
