"""Fish found dead, missing, or put down."""

from __future__ import annotations

import re
from itertools import pairwise
from typing import Any

from bot.language.clauses.group import Group, paired
from bot.language.fish.causes import cause_said
from bot.language.fish.counts import numbers_of
from bot.language.scene import Part
from bot.language.tags import Tag
from bot.language.telling import Sight, Teller
from bot.language.text.everyday import is_everyday


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
    dead = [
        t
        for t in part.cues("dead")
        if not (
            t.word in ("body", "floating", "stiff", "rip", "body", "loss", "on the floor")
            and not (numbers_of(part) or part.noun("male", "female", "fish", "fry"))
        )
    ]
    dead = [t for t in dead if not (t.word in ("cull", "culling") and part.asks)]
    dead = [
        t
        for t in dead
        if not any(
            w.word in ("nothing", "nobody", "none")
            for w in part.tags[max(0, part.tags.index(t) - 2) : part.tags.index(t)]
        )
    ]
    if (
        any(
            t.word.removesuffix("'s")
            in (
                "culture",
                "cultures",
                "battery",
                "heater",
                "light",
                "pump",
                "plant",
                "plants",
                "leaf",
                "leaves",
                "snail",
                "snails",
                "phone",
                "bulb",
                "car",
                "truck",
                "van",
                "engine",
                "mower",
                "boiler",
                "kettle",
                "laptop",
                "computer",
                "printer",
                "television",
                "washer",
                "fridge",
                "freezer",
                "dog",
                "cat",
            )
            for t in part.tags
        )
        or part.kind("culture")
        or any(not _beside(part, t) for t in part.sense("item"))
    ):
        return None
    if part.noun("eggs") and not part.noun("male", "female", "fry", "juveniles", "adults"):
        return None
    if dead:
        return Sight(5, (*dead, *part.cues("lost", "count")))
    lost = part.cues("lost")
    if (
        lost
        and not part.kind("vol")
        and (numbers_of(part) or part.noun("male", "female", "fry", "juveniles", "fish") or part.kind("line"))
    ):
        words = part.words()
        if lost[0].word in ("ate", "eaten", "loose", "lose", "missing", "gone") and not (
            numbers_of(part) or (lost[0].word in ("gone",) and part.noun("male", "female"))
        ):
            return None
        if part.sense("food") or words & {"count", "track", "weight", "power", "colour", "color", "interest", "my"}:
            return None
        return Sight(4, (*lost, *part.cues("gave")))
    if minus(part) and part.kind("place", "batch"):
        return Sight(3)
    return None


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
    _pairs_counted(group)
    seq = group.sequence("count")
    nums = [s for s in seq if s[0] == "N"]
    keys: dict[str, Any] = {}
    cause = how_lost(group)
    if cause:
        keys["cause"] = cause
    line, stage, sex = group.line(), group.stage(), group.sex()
    if group.kind("line") and line:
        keys["line"] = line
    if stage and stage != "eggs":
        keys["stage"] = stage
    if sex:
        keys["sex"] = sex
    male, female = group.noun("male"), group.noun("female")
    if male and female:
        tags = group.tags
        split = []
        for sort, its in (("male", male[0]), ("female", female[0])):
            n = group._index(its)
            near = tags[n - 1] if n else None
            if near is not None and near.kind == "num":
                split.append((sort, near.value))
            elif near is not None and near.word in ("a", "one", "the"):
                split.append((sort, 1.0))
        if len(split) == 2:
            seq2 = [s for s in seq if s[0] in "PB"]
            spot = paired(seq2)[0] if seq2 else None
            places, kind = (spot[0], spot[1]) if spot and spot[0] else teller.where(group, "death")
            if len(places) == 1:
                for sort, count in split:
                    its_keys = {**keys, "sex": sort, "count": count}
                    teller.tell(
                        "death", group, **({"batch": places[0]} if kind == "B" else {"place": places[0]}), **its_keys
                    )
                return
    words = group.text().split()
    for n, tag in enumerate(group.tags):
        nxt = group.tags[n + 1] if n + 1 < len(group.tags) else None
        if (
            tag.says("cue", "dead")
            and nxt is not None
            and nxt.kind in ("word", "person")
            and nxt.word.isalpha()
            and len(nxt.word) > 3
            and not is_everyday(nxt.word)
            and not group.kind("line")
        ):
            teller.ask(group, f"Which fish is “{nxt.word}”?", "line", {"kind": "death", **keys})
            return
    if not nums:
        one = any(
            w in words for w in ("a", "an", "another", "the", "her", "him", "his", "she", "he", "male", "female")
        ) and not any(w in words for w in ("some", "few", "several", "lots", "many", "all", "fish", "deads"))
        plural = group.noun("fry", "juveniles", "adults", "fish") and not any(t.word in ("one",) for t in group.tags)
        if re.search(
            r"\b(a|another|one)( \w+)?( \w+)? (fry|fish|juvenile|juvie|juv|adult|baby|youngster|runt)\b", group.text()
        ):
            one, plural = True, []
            words = [*words, "one"]
        one = one or "one of the" in group.text()
        if re.search(r"\bfish\b.* (is|was) (found )?dead\b", group.text()):
            one, plural = True, []
            words = [*words, "one"]
        singular = [
            t for t in group.tags if t.kind == "lex" and t.says("noun", "male", "female") and not t.word.endswith("s")
        ]
        if (
            singular
            or "another" in words
            or "a dead" in group.text()
            or any(a.says("cue", "dead") and b.word in ("it", "him", "her") for a, b in pairwise(group.tags))
            or (one and not plural and (group.kind("line") or "one" in words))
        ):
            keys["count"] = 1.0
            spots = paired(seq)
            if len(spots) == 1:
                places, kind = spots[0][0], spots[0][1]
                if not places:
                    if group.unknown() is not None:
                        teller.ask_place(group, {"kind": "death", **keys})
                        return
                    places, kind = teller.where(group, "death")
                if len(places) == 1:
                    teller.tell(
                        "death", group, **({"batch": places[0]} if kind == "B" else {"place": places[0]}), **keys
                    )
                    return
                teller.ask_place(group, {"kind": "death", **keys})
                return
    if not seq and not group.kind("line") and not nums and not group.cues("dead") and not teller.context.places:
        return
    out = teller.counted(group, "death", **keys)
    if len(out) > 1 and sex:
        numbered = [s[2] for s in seq if s[0] == "N"]
        said = {id(group.before(t)) for t in (*male, *female)}
        for raw, tag in zip(out, numbered, strict=False):
            if len(numbered) == len(out) and id(tag) not in said:
                raw.pop("sex", None)  # "1 in 5, 2 in 11, 1 male in 6"
    if not nums and "both" in words and bool(male) != bool(female) and len(out) == 1:
        out[0].setdefault("count", 2)  # "lost both males"
    for raw in out:
        _check(raw, group, teller)


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
            group, f"{count} of {ctx}? How many were lost?", "count", {k: v for k, v in raw.items() if k != "count"}
        )
