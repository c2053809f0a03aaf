"""Fish counted, living."""

from __future__ import annotations

import re
from itertools import pairwise
from typing import Any

from bot.language.clauses.group import Group, paired
from bot.language.eggs import breeders, egg_places
from bot.language.scene import Part
from bot.language.tags import Tag
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
    cue = [t for t in part.cues("count") if nums or t.word not in ("count", "counts", "counting")]
    if cue and (nums or (part.kind("place", "batch", "size") and part.has("left"))):
        return Sight(4, (*cue, *part.cues("left", "gave")))
    if IT_IS_NOW.match(part.text()) and teller.context.kind in ("water_change", "service", "dose"):
        return None  # the water, after what was done to it
    left = part.cues("left")
    if left and ("to hatch" in part.text() or _the_water_now(part, left, teller)):
        return None
    if left and _eggs_left_in_the_mop(part, teller):
        for tag in part.kind("num"):
            tag.claimed = "left"
        return None
    if _both_sexes_counted(part, teller) or (left and _so_many_in_there(part)):
        return Sight(3, tuple(left))
    if _fry_seen_after_a_hatch(part, teller):
        return Sight(3)
    if left and _down_to_perhaps_degrees(part, left[0], teller):
        return None
    if left and nums and _where_something_was_told(part, teller):
        return None if _left_of_something_else(part, left[0], teller) else Sight(3, tuple(left))
    if _still_so_many(part) or _fry_in_one_place(part, teller) or _eggs_in_a_tub(part, teller):
        return Sight(2)
    return None


def _eggs_left_in_the_mop(part: Part, teller: Teller) -> bool:
    """ "Pulled 12 from 3, 5 left": eggs that stay in the mop are no count of the fish."""
    return teller.context.kind == "pull" and not part.kind("place", "batch") and not part.noun("fish", "adults")


def _the_water_now(part: Part, left: list[Tag], teller: Teller) -> bool:
    """ "Nitrates 40, did half, now 20"."""
    ctx = teller.context
    return (
        all(t.word in ("now", "still") for t in left)
        and bool(ctx.quantity)
        and ctx.kind in ("measure", "water_change")
        and not part.kind("place", "batch")
        and not part.noun("fry", "fish", "eggs", "juveniles", "adults")
    )


def _both_sexes_counted(part: Part, teller: Teller) -> bool:
    """ "8 boys, 14 girls in 13", where nothing was done with them."""
    sexed = [b for a, b in pairwise(part.tags) if b.says("noun", "male", "female") and a.kind == "num"]
    where = part.kind("place", "batch", "size") or "in" in part.words()
    return (
        len(sexed) == 2
        and len(part.tags) <= 9
        and (bool(where) or _sexes_alone(part, teller))
        and not part.has("move", "put", "sold", "hold", "bought", "dead", "lost")
        and not part.kind("person", "money")
    )


def _so_many_in_there(part: Part) -> bool:
    """ "22 left in 13"."""
    inside = any(b.kind == "num" and a.word == "in" for a, b in pairwise(part.tags))
    return len(numbers_of(part)) == 2 and inside and not part.noun("eggs")


def _fry_seen_after_a_hatch(part: Part, teller: Teller) -> bool:
    """ "A hatched. I see 12", where no number was said of the hatch."""
    event = teller.context.event
    return (
        teller.context.kind == "hatch"
        and bool(part.words() & {"see", "counted", "counting", "found"})
        and len(numbers_of(part)) == 1
        and not part.kind("place", "batch")
        and event is not None
        and event.get("count") is None
    )


def _down_to_perhaps_degrees(part: Part, left: Tag, teller: Teller) -> bool:
    """ "Tank 10 is down to 66": of fish only where they are named or so many can be left."""
    of_fish = part.noun("eggs", "fry", "fish", "juveniles") or part.kind("batch") or egg_places(part, teller)
    return left.word in ("down to", "is down to") and not of_fish and not _fewer_than_were(part, teller)


_LEAVES_SO_MANY = ("bad_eggs", "death", "move", "headcount", "sale", "hatch", "water_change")


def _where_something_was_told(part: Part, teller: Teller) -> bool:
    """Whether "left" has a place of its own, or follows what changes how many there are."""
    heading = part.before if part.joiner == ":" else None
    named = part.kind("place", "batch") or (heading is not None and heading.kind("place", "batch"))
    return teller.context.kind in _LEAVES_SO_MANY or bool(named)


def _left_of_something_else(part: Part, left: Tag, teller: Teller) -> bool:
    """Whether "now" with a place is no count, nor "in total" after anything but deaths."""
    if left.word == "now" and part.kind("place"):
        return not part.noun("fry", "juveniles", "fish", "eggs", "adults") and not part.kind("line", "batch")
    in_all = left.word in ("in total", "altogether") and teller.context.kind != "death"
    return in_all and not part.kind("place", "batch")


def _still_so_many(part: Part) -> bool:
    return len(numbers_of(part)) == 1 and "still" in part.words() and len(part.tags) <= 4


def _fry_in_one_place(part: Part, teller: Teller) -> bool:
    """ "24 fry in 12"."""
    return bool(
        numbers_of(part)
        and part.noun("fry", "juveniles", "adults", "fish")
        and not part.sense("food")
        and len(part.kind("place", "batch")) == 1
        and len(part.tags) <= 5
        and not egg_places(part, teller)
    )


def _eggs_in_a_tub(part: Part, teller: Teller) -> bool:
    """ "Tub C has 24 eggs"."""
    told = part.words() & {"there", "has", "holds", "total", "got"}
    return bool(numbers_of(part) and part.noun("eggs") and told and egg_places(part, teller))


_InOrder = list[tuple[str, Any, Tag]]  # what was said of places and numbers, in its order


def tell_count(group: Group, teller: Teller) -> None:
    """Log how many are alive; or what the number is of instead, where something just told wanted it."""
    stage = group.stage()
    keys: dict[str, Any] = {"stage": stage} if stage and stage != "eggs" else {}
    seq = group.sequence("count")
    male, female = _sexes(group)
    if male is not None and female is not None:
        _tell_sexes(group, teller, seq, male, female, keys)
        return
    if _stayed_behind(group, teller, seq) or _of_the_hatch(group, teller):
        return
    seq = _counted_once(seq)
    if _place_then_count(group, teller, seq, keys):
        return
    seq = _put_last(group, seq)
    laid_in = [str(v[0]) for k, v, _ in seq if k == "P" and len(v) == 1 and stage == "eggs"]
    if any(breeders(teller, p) and not any(b.stage == "eggs" for b in teller.names.batches_in(p)) for p in laid_in):
        # "the egg count of 1 was 24": eggs pulled there, or a number mended; never so many fish
        teller.ask(group, f"Eggs pulled from {laid_in[0]}? Say it like “pulled 24 eggs”; to mend: “24 not 20”.", "kind")
        return
    for raw in teller.counted(group, "headcount", **keys):
        if isinstance(raw.get("count"), int):
            teller.context.values["alive"] = raw["count"]
            teller.context.values["alive_at"] = (raw.get("place"), raw.get("batch"))


def _sexes(group: Group) -> tuple[Tag | None, Tag | None]:
    """The numbers of "8 males and 14 females"."""
    male = female = None
    for number, tag in pairwise(group.tags):
        if number.kind == "num" and tag.kind == "lex" and tag.says("noun", "male", "female"):
            if tag.says("noun", "male"):
                male = number
            else:
                female = number
    return male, female


def _tell_sexes(group: Group, teller: Teller, seq: _InOrder, male: Tag, female: Tag, keys: dict[str, Any]) -> None:
    """ "13 has 8 males and 14 females, 22 in all": asked when it does not add up."""
    spots = [s for s in seq if s[0] in "PB"]
    others = [s for s in seq if s[0] == "N" and s[2] not in (male, female)]
    found = paired(spots)[0] if spots else ((), "", ..., [])
    places, kind = found[0], found[1]
    if not places:
        places, kind = teller.where(group, "headcount")
    if len(places) != 1 or len(others) > 1 or group.unknown() is not None:
        teller.ask_place(group, {"kind": "headcount"})
        return
    count = others[0][1] if others else male.value + female.value
    if count != male.value + female.value:
        question = f"{male.value:g} and {female.value:g} is not {count:g}. How many?"
        teller.ask(group, question, "count", {"kind": "headcount"})
        return
    where = {"batch": places[0]} if kind == "B" else {"place": places[0]}
    teller.tell("headcount", group, **where, count=count, male=int(male.value), female=int(female.value), **keys)


def _stayed_behind(group: Group, teller: Teller, seq: _InOrder) -> bool:
    """ "Moved 12 into 16, leaving 72": those are still where the others came from."""
    event = teller.context.event
    if event is None or event["kind"] != "move" or not event.get("from"):
        return False
    if teller.context.sentence != group.sentence or not group.cues("left") or group.kind("place", "batch"):
        return False
    counts = [s for s in seq if s[0] == "N"]
    if len(counts) != 1 or not re.search(r"\b(leav\w+|left|remain\w*|stay\w*)\b", group.text()):
        return False
    where = {"batch": event["batch"]} if event.get("batch") else {"place": event["from"]}
    teller.tell("headcount", group, **where, count=counts[0][1])
    return True


def _of_the_hatch(group: Group, teller: Teller) -> bool:
    """Whether the number is of the fry just told of: "A hatched. I see 12", "3 more hatched, so 5 now"."""
    event = teller.context.event
    if event is None or event["kind"] != "hatch" or group.kind("place", "batch"):
        return False
    if event.get("count") is not None:
        if group.kind("line") or not egg_spot(event, teller):
            return False
        for tag in group.kind("num"):  # of the fry, not of all that is in the egg tub
            tag.claimed = "corrected"
        return True
    single = [t for t in group.tags if t.kind == "num" and t.low is None and t.claimed != "wrong"]
    if len(single) != 1:
        return False
    event["count"] = int(single[0].value)
    _day, clock = teller.when(group)
    event["_clock"] = clock or event.get("_clock")
    teller.context.count = event["count"]
    return True


def _counted_once(seq: _InOrder) -> _InOrder:
    """Of a count made twice, both alike, the first."""
    nums = [s for s in seq if s[0] == "N"]
    if len(nums) < 2 or len({s[1] for s in nums}) != 1:
        return seq
    for _, _, tag in nums[1:]:
        tag.claimed = "corrected"
    return [s for s in seq if s[0] in "PB" or s is nums[0]]


def _place_then_count(group: Group, teller: Teller, seq: _InOrder, keys: dict[str, Any]) -> bool:
    """ "13, 22": two numbers apart, the first of which a tank has."""
    nums = [s for s in seq if s[0] == "N"]
    if len(nums) != 2 or any(s[0] in "PB" for s in seq) or nums[0][2].kind != "num":
        return False
    place = group.place_id(nums[0][2])
    if not place or not any(t.kind == "sep" for t in group.tags):
        return False
    teller.tell("headcount", group, place=place, count=nums[1][1], **keys)
    return True


_IN_THE_END = ("say", "call it", "so ", "now", "make it", "left")


def _put_last(group: Group, seq: _InOrder) -> _InOrder:
    """Of several counts of one place the last, where it is said to hold: "20 in 13, no, call it 22"."""
    nums = [s for s in seq if s[0] == "N"]
    if len(nums) < 2 or sum(s[0] in "PB" for s in seq) != 1:
        return seq
    text = group.text()
    if not any(t.claimed == "corrected" for t in group.tags) and not any(w in text for w in _IN_THE_END):
        return seq
    for _, _, tag in nums[:-1]:
        tag.claimed = "earlier"
    return [s for s in seq if s is nums[-1] or s[0] in "PB"]
