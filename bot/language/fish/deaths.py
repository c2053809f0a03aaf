"""Fish found dead, missing, or put down."""

from __future__ import annotations

import re
from itertools import pairwise
from typing import Any

from bot.language.clauses.group import Group, Raw, paired
from bot.language.fish.causes import cause_said
from bot.language.fish.counts import numbers_of
from bot.language.scene import Part
from bot.language.tags import Tag
from bot.language.telling import Sight, Teller
from bot.language.text.everyday import is_everyday

_DEAD_IF_COUNTED = frozenset(["body", "floating", "stiff", "rip", "loss", "on the floor"])
_NO_FISH = frozenset(
    ["culture", "cultures", "battery", "heater", "light", "pump", "plant", "plants", "leaf", "leaves", "snail",
     "snails", "phone", "bulb", "car", "truck", "van", "engine", "mower", "boiler", "kettle", "laptop", "computer",
     "printer", "television", "washer", "fridge", "freezer", "dog", "cat"]
)  # fmt: skip
_LOST_BESIDES = frozenset(["count", "track", "weight", "power", "colour", "color", "interest", "my"])


def minus(part: Part) -> bool:
    """Whether a clause begins "-3"."""
    tags = part.tags
    return part.joiner == "-" and len(tags) >= 1 and tags[0].kind == "num"


def _beside(part: Part, item: Tag) -> bool:
    """Whether gear is only where something lay: "dead behind the filter"."""
    n = part.tags.index(item)
    return any(
        t.word in ("behind", "under", "beside", "inside", "near", "against", "by") for t in part.tags[max(0, n - 2) : n]
    )


def sees_death(part: Part, teller: Teller) -> Sight | None:
    if part.words() & {"every", "everything", "mark", "delete"}:
        return None
    if _something_else_died(part) or _only_eggs(part):
        return None
    dead = [t for t in part.cues("dead") if _of_fish(part, t)]
    if dead:
        return Sight(5, (*dead, *part.cues("lost", "count")))
    lost = part.cues("lost")
    if lost and not part.kind("vol") and (numbers_of(part) or _fish_named(part) or part.kind("line")):
        return None if _lost_otherwise(part, lost[0]) else Sight(4, (*lost, *part.cues("gave")))
    if minus(part) and part.kind("place", "batch"):
        return Sight(3)
    return None


def _fish_named(part: Part) -> bool:
    return bool(part.noun("male", "female", "fry", "juveniles", "fish"))


def _of_fish(part: Part, tag: Tag) -> bool:
    """Whether a word of death is said of fish here: "floating" alone is not, nor "nothing died"."""
    counted = numbers_of(part) or part.noun("male", "female", "fish", "fry")
    if tag.word in _DEAD_IF_COUNTED and not counted:
        return False
    if tag.word in ("cull", "culling") and part.asks:
        return False
    n = part.tags.index(tag)
    return not any(t.word in ("nothing", "nobody", "none") for t in part.tags[max(0, n - 2) : n])


def _something_else_died(part: Part) -> bool:
    """Whether a culture, gear or a thing of the house is what broke or died."""
    named = any(t.word.removesuffix("'s") in _NO_FISH for t in part.tags)
    return named or bool(part.kind("culture")) or any(not _beside(part, t) for t in part.sense("item"))


def _only_eggs(part: Part) -> bool:
    return bool(part.noun("eggs")) and not part.noun("male", "female", "fry", "juveniles", "adults")


def _lost_otherwise(part: Part, lost: Tag) -> bool:
    """Whether something was eaten, mislaid or lost count of, and no fish was lost."""
    if lost.word in ("ate", "eaten", "loose", "lose", "missing", "gone"):
        one_gone = lost.word == "gone" and part.noun("male", "female")
        if not numbers_of(part) and not one_gone:
            return True
    return bool(part.sense("food") or part.words() & _LOST_BESIDES)


_UNSURE = {"maybe", "perhaps", "possibly", "probably", "presumably", "think", "guess", "might", "or", "if", "suspect"}


def how_lost(group: Group) -> str | None:
    """How fish were lost, in the note's own word; None where it says nothing, is not sure, or tells of several ways."""
    if group.words() & _UNSURE or "?" in group.text():
        return None
    several = len([s for s in group.sequence("count") if s[0] == "N"]) > 1  # "2 dead, one jumped"
    return cause_said((t.word for t in group.cues("dead", "lost")), alone=several)


def _pairs_counted(group: Group) -> None:
    """A pair are two fish, a trio three: "two pairs died" are four."""
    for tag in group.noun("pair", "trio"):
        size = 2 if tag.says("noun", "pair") else 3
        before = group.before(tag)
        if before is not None and before.kind == "num" and before.low is None:
            before.value *= size
        elif before is None or before.word in ("a", "the", "another", "one", "our", "my"):
            tag.kind, tag.value, tag.note, tag.approx = "num", float(size), "spelled", True


_A_DAY = re.compile(r"\b(?:a|per|each|every) (?:day|night|morning)\b")


def _day_after_day(group: Group, teller: Teller) -> bool:
    """Tell of "lost 1 a day in 11, so 4" the four; ask where only so many a day are said."""
    if not _A_DAY.search(group.text()):
        return False
    after = group.parts[-1].after
    later = [p for p in [*group.parts[1:], after] if p is not None and (p.joiner == "so" or "total" in p.text())]
    total = [t for p in later for t in p.kind("num")]
    places = [p for k, v, _ in group.sequence("count") if k == "P" for p in v]
    if len(total) != 1 or len(places) != 1 or total[0].low is not None:
        teller.ask(group, "How many were lost in all?", "count", {"kind": "death", "place": (places or [None])[0]})
        return True
    teller.tell("death", group, place=places[0], count=total[0].value, **({"line": x} if (x := group.line()) else {}))
    for tag in (*group.kind("num"), *total):
        tag.claimed = tag.claimed or "total"
    teller.read |= {id(p) for p in later}
    return True


def tell_death(group: Group, teller: Teller) -> None:
    if _day_after_day(group, teller):
        return
    group = _with_the_other_sex(group, teller)
    _pairs_counted(group)
    seq = group.sequence("count")
    nums = [s for s in seq if s[0] == "N"]
    keys = _who_died(group)
    if _each_sex(group, teller, seq, keys):
        return
    strange = _unknown_fish(group)
    if strange is not None:
        teller.ask(group, f"Which fish is “{strange.word}”?", "line", {"kind": "death", **keys}, firm=True)
        return
    if not nums and _just_one(group):
        _tell_one(group, teller, seq, {**keys, "count": 1.0})
        return
    if not seq and not group.kind("line") and not nums and not group.cues("dead") and not teller.context.places:
        return
    out = teller.counted(group, "death", **keys)
    _sex_only_where_said(out, group, seq)
    both = "both" in group.text().split() and bool(group.noun("male")) != bool(group.noun("female"))
    if not nums and both and len(out) == 1:
        out[0].setdefault("count", 2)  # "lost both males"
    for raw in out:
        _check(raw, group, teller)


def _who_died(group: Group) -> dict[str, Any]:
    """Of what, of which line, stage and sex the dead are, as far as a note says."""
    line = group.line() if group.kind("line") else None
    stage = group.stage()
    said = {"cause": how_lost(group), "line": line, "stage": stage if stage != "eggs" else None, "sex": group.sex()}
    return {key: value for key, value in said.items() if value}


def _at(spot: str, sort: str) -> dict[str, str]:
    return {"batch": spot} if sort == "B" else {"place": spot}


_BEFORE_A_SEX = frozenset(["a", "an", "one", "the", "i", "we", "found", "also", "sadly", "both"])


def _with_the_other_sex(group: Group, teller: Teller) -> Group:
    """ "A male and a female died": with the clause before, where all it has is the other sex."""
    before, sex = group.parts[0].before, group.sex()
    if before is None or sex is None or group.parts[0].joiner != "and":
        return group
    other = "female" if sex == "male" else "male"
    *led, last = before.tags
    if not last.says("noun", other) or any(t.kind != "num" and t.word not in _BEFORE_A_SEX for t in led):
        return group
    teller.read.add(id(before))
    return Group([before, *group.parts], group.names, group.context)


def _each_sex(group: Group, teller: Teller, seq: list[tuple[str, Any, Tag]], keys: dict[str, Any]) -> bool:
    """Tell of "2 males and a female" each sex with its number; False where not both have one."""
    split: list[tuple[str, float]] = []
    for sex in ("male", "female"):
        for its in group.noun(sex)[:1]:
            n = group._index(its)
            near = group.tags[n - 1] if n else None
            if near is not None and near.kind == "num":
                split.append((sex, near.value))
            elif near is not None and near.word in ("a", "one", "the"):
                split.append((sex, 1.0))
    if len(split) != 2:
        return False
    named = [s for s in seq if s[0] in "PB"]
    spot = paired(named)[0] if named else None
    places, sort = (spot[0], spot[1]) if spot and spot[0] else teller.where(group, "death")
    if len(places) != 1:
        return False
    for sex, count in split:
        teller.tell("death", group, **_at(places[0], sort), **{**keys, "sex": sex, "count": count})
    return True


def _unknown_fish(group: Group) -> Tag | None:
    """The word after "dead" that may be the name of a fish nobody knows."""
    if group.kind("line"):
        return None
    for dead, tag in pairwise(group.tags):
        name = tag.kind in ("word", "person") and tag.word.isalpha() and len(tag.word) > 3
        if dead.says("cue", "dead") and name and not is_everyday(tag.word):
            return tag
    return None


_ONE_FISH = re.compile(r"\b(a|another|one)( \w+)?( \w+)? (fry|fish|juvenile|juvie|juv|adult|baby|youngster|runt)\b")
_FISH_WAS_DEAD = re.compile(r"\bfish\b.* (is|was) (found )?dead\b")
_OF_ONE = frozenset(["a", "an", "another", "the", "her", "him", "his", "she", "he", "male", "female"])
_OF_MANY = frozenset(["some", "few", "several", "lots", "many", "all", "fish", "deads"])


def _just_one(group: Group) -> bool:
    """Whether without a number one fish is spoken of: "a dead male", "found her dead", "another jumped"."""
    text = group.text()
    words = set(text.split())
    if any(t.kind == "lex" and t.says("noun", "male", "female") and not t.word.endswith("s") for t in group.tags):
        return True
    if "another" in words or "a dead" in text or _ONE_FISH.search(text) or _FISH_WAS_DEAD.search(text):
        return True
    if any(a.says("cue", "dead") and b.word in ("it", "him", "her") for a, b in pairwise(group.tags)):
        return True
    one = (words & _OF_ONE and not words & _OF_MANY) or "one of the" in text
    plural = group.noun("fry", "juveniles", "adults", "fish") and not any(t.word == "one" for t in group.tags)
    return bool(one and not plural and (group.kind("line") or "one" in words))


def _tell_one(group: Group, teller: Teller, seq: list[tuple[str, Any, Tag]], keys: dict[str, Any]) -> None:
    """Tell of one dead fish where it lay, or ask where that was; or how many, if it is said of several places."""
    spots = paired(seq)
    if len(spots) > 1:
        named = [p for its, *_ in spots for p in its]
        held = {k: v for k, v in keys.items() if k != "count"}
        teller.ask(group, f"How many in each of {', '.join(named)}?", "count", {"kind": "death", **held})
        return
    places, sort = spots[0][:2]
    if not places and group.unknown() is None:
        places, sort = teller.where(group, "death")
    if len(places) == 1:
        teller.tell("death", group, **_at(places[0], sort), **keys)
    else:
        teller.ask_place(group, {"kind": "death", **keys})


def _sex_only_where_said(out: list[Raw], group: Group, seq: list[tuple[str, Any, Tag]]) -> None:
    """Of "1 in 5, 2 in 11, 1 male in 6" only the last were male."""
    numbered = [s[2] for s in seq if s[0] == "N"]
    if len(out) < 2 or not group.sex() or len(numbered) != len(out):
        return
    said = {id(group.before(t)) for t in group.noun("male", "female")}
    for raw, tag in zip(out, numbered, strict=True):
        if id(tag) not in said:
            raw.pop("sex", None)


def _check(raw: dict[str, object], group: Group, teller: Teller) -> None:
    """More dead than a note itself counts alive cannot be."""
    count = raw.get("count")
    ctx = teller.context.values.get("alive")
    if teller.context.values.get("alive_at") != (raw.get("place"), raw.get("batch")):
        return
    if isinstance(count, int) and isinstance(ctx, int) and count > ctx and raw in teller.events:
        teller.events[:] = [
            e for e in teller.events if e is not raw and not (e["kind"] == "headcount" and e.get("count") == ctx)
        ]
        teller.ask(
            group,
            f"{count} of {ctx}? How many were lost?",
            "count",
            {k: v for k, v in raw.items() if k != "count"},
            firm=True,
        )
