"""Fish: found dead, counted, moved."""

from __future__ import annotations

import re
from typing import Any

from bot.language.eggs import egg_places
from bot.language.everyday import is_everyday
from bot.language.group import Group, paired
from bot.language.scene import Part
from bot.language.tags import Tag
from bot.language.telling import Frame, Sight, Teller


def _nums(part: Part) -> list[object]:
    return [t for t in part.tags if t.kind == "num" and t.note != "quoted"]


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
            and not (_nums(part) or part.noun("male", "female", "fish", "fry"))
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
            t.word
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
        and (_nums(part) or part.noun("male", "female", "fry", "juveniles", "fish") or part.kind("line"))
    ):
        words = part.words()
        if lost[0].word in ("ate", "eaten", "loose", "lose", "missing", "gone") and not (
            _nums(part) or (lost[0].word in ("gone",) and part.noun("male", "female"))
        ):
            return None
        if part.sense("food") or words & {"count", "track", "weight", "power", "colour", "color", "interest", "my"}:
            return None
        return Sight(4, (*lost, *part.cues("gave")))
    if minus(part) and part.kind("place", "batch"):
        return Sight(3)
    return None


def tell_death(group: Group, teller: Teller) -> None:
    seq = group.sequence("count")
    nums = [s for s in seq if s[0] == "N"]
    keys: dict[str, Any] = {}
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


def egg_spot(event: dict[str, Any], teller: Teller) -> bool:
    """Whether an event's place or batch holds eggs."""
    place, batch = event.get("place"), event.get("batch")
    held = [b for b in teller.names.batches if b.place == place or b.name == batch]
    return any(b.stage == "eggs" for b in held)


def sees_count(part: Part, teller: Teller) -> Sight | None:
    nums = _nums(part)
    if part.sense("item") and not part.cues("count"):
        return None
    cue = [t for t in part.cues("count") if not (t.word in ("count", "counts", "counting") and not nums)]
    if cue and (nums or (part.kind("place", "batch", "size") and part.has("left"))):
        return Sight(4, (*cue, *part.cues("left", "gave")))
    left = part.cues("left")
    if left and "to hatch" in part.text():
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
        and (part.kind("place", "batch", "size") or "in" in part.words())
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
    ):
        return None
    if (
        left
        and nums
        and (
            teller.context.kind in ("bad_eggs", "death", "move", "headcount", "sale", "hatch", "water_change", "pull")
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
        and re.search(r"\b(leav\w+|left|remain\w*)\b", group.text())
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
    out = teller.counted(group, "headcount", **keys)
    for raw in out:
        if isinstance(raw.get("count"), int):
            teller.context.values["alive"] = raw["count"]
            teller.context.values["alive_at"] = (raw.get("place"), raw.get("batch"))


def sees_move(part: Part, teller: Teller) -> Sight | None:
    cue = part.cues("move", "put")
    nums = list(part.kind("num"))
    if (
        not cue
        and ((nums and part.noun("fry", "juveniles")) or {"all", "now"} <= part.words())
        and part.kind("line")
        and len(part.kind("place")) == 1
        and ("now in" in part.text() or "are in" in part.text())
    ):
        place = part.kind("place")[0].value
        if place and len(place) == 1 and not set(part.kind("line")[0].value) & set(teller.names.lines_in(place[0])):
            return Sight(5, tuple(part.cues("left")))
    places = part.kind("place", "size") or list(part.kind("num"))
    if not cue or (part.sense("substance") and not part.noun("fish", "fry")):
        return None
    if cue[0].word == "put" and part.words() & {"back", "off", "down", "away"} and not part.kind("place"):
        return None
    if cue[0].word == "put" and not (
        part.words() & {"her", "him"}
        or part.noun("fry", "fish", "juveniles", "male", "female", "pair", "trio", "eggs")
        or part.kind("line", "num", "batch")
    ):
        return None
    came = teller.context.event
    if (
        (
            came is not None and came["kind"] == "stock_in" and not came.get("place")
            if teller.context.kind != "stock_in" or part.before is None
            else not part.before.kind("place", "size")
        )
        and part.tags[0] is cue[0]
        and cue[0].word in ("put them in", "put them into", "put", "moved them to")
        and not part.kind("num", "line", "batch")
        and len(part.kind("place")) == 1
    ):
        return None  # "bought two trios and put them in tank 16": where they came to
    if part.sense("food") or part.noun("mop", "filters") or part.sense("item"):
        return None
    if not part.kind("place", "size", "num") and not part.kind("batch"):
        return None
    if (
        teller.context.values.get("item_sentence") == part.sentence
        and "it" in part.words()
        and not part.noun("fish", "fry", "eggs")
        and not part.kind("line", "batch")
    ):
        return None
    if any(t.word in ("heater", "house", "car", "truck", "rack", "shelf", "thermometer", "light") for t in part.tags):
        return None
    if places or part.kind("batch", "line"):
        return Sight(4, tuple(cue))
    return None


def tell_move(group: Group, teller: Teller) -> None:
    names, ctx = teller.names, teller.context
    tags = group.tags
    last = ctx.event
    if last is not None and last["kind"] == "move" and last.get("_group_parts") is group.parts:
        return
    here = [t for t in group.kind("place") if len(t.value) == 1]
    if (
        last is not None
        and last["kind"] == "pull"
        and len(here) == 1
        and not [t for t in group.kind("num") if t.claimed != "wrong"]
        and not group.kind("batch")
    ):
        for raw in teller.events:
            if raw["kind"] == "pull" and not raw.get("to") and raw.get("place") != here[0].value[0]:
                raw["to"] = here[0].value[0]
        return
    if group.unknown() is not None:
        teller.ask_place(group, {"kind": "move"})
        return
    source = target = None
    batch = group.batches()[0] if len(group.batches()) == 1 else None
    plain: list[str] = []  # places said without "from" or "into"
    sure = False  # whether "from" was said
    count: float | None = None
    male = female = None
    numbered = list(group.sequence("count"))
    for kind, value, tag in numbered:
        if kind == "P" and len(value) == 1:
            n = group._index(tag)
            back = [t.word for t in tags[max(0, n - 3) : n]]
            if any(
                w in ("to", "into", "->", "in", "went in", "went into", "moved up", "up to", "put") for w in back[-2:]
            ) and not any(w in ("from", "out", "of") for w in back[-1:]):
                target = value[0]
            elif (
                (back[-1:] and back[-1] in ("from", "of", "off"))
                or (source is None and target is None and any(w in ("from", "of") for w in back))
            ) or (source is None and n == 0):
                if n == 0:
                    plain.append(value[0])
                sure = sure or bool(back[-1:] and back[-1] in ("from", "of", "off"))
                source = value[0]
            elif target is None:
                target = value[0]
        elif kind == "P":
            teller.ask(group, "Which went where?", "to", {"kind": "move"})
            return
    pulled = last if last is not None and last["kind"] == "pull" and not last.get("to") else None
    its = [(v, t) for k, v, t in numbered if k == "N" and t.kind == "num" and t.low is None]
    if pulled is None and last is not None and last["kind"] == "bad_eggs":
        pulled = next(
            (
                e
                for e in reversed(teller.events)
                if e["kind"] == "pull" and not e.get("to") and e.get("place") == last.get("place")
            ),
            None,
        )
    if (
        pulled is not None
        and not sure
        and batch is None
        and len(its) == 1
        and len([1 for k, _, _ in numbered if k == "P"]) == 1
        and target in names.place_of
        and names.place_of[str(target)].role == "eggs"
        and isinstance(pulled.get("count"), int)
        and its[0][0] <= pulled["count"]
        and not group.noun("fry", "male", "female", "juveniles", "adults")
    ):
        pulled["to"] = target  # "17 on the mop, 1 white, so 16 into tub B"
        its[0][1].claimed = "pairs"
        return
    if sure and target is None and len(plain) == 1 and plain[0] != source and group.words() & {"there", "it", "in"}:
        target = plain[0]  # "tub F … put 8 from tub B in there"
    spoken = [v[0] for k, v, _ in numbered if k == "P" and len(v) == 1]
    if len(spoken) == 2 and target == spoken[0] and source is None and batch:
        source = None  # "went over to tank 16, so tank 13 is less crowded"
    elif len(spoken) == 2 and (source is None or target is None or source == target):
        source, target = spoken
    nums = [(v, t) for k, v, t in numbered if k == "N" and t.kind == "num"]
    for value, tag in nums:
        nxt = group.after(tag)
        if nxt is not None and nxt.says("noun", "male"):
            male = value
        elif nxt is not None and nxt.says("noun", "female"):
            female = value
        elif count is None and (tag.low is None):
            ids = group.place_id(tag)
            prev = group.before(tag)
            if prev is not None and prev.word in ("to", "into") and ids and target is None:
                target = ids
            else:
                count = value
        else:
            if len(nums) > 1 and tag.low is None:
                teller.ask(group, "How many were moved?", "count", {"kind": "move", "from": source, "to": target})
                return
    if male is not None or female is not None:
        count = count if count is not None else (male or 0) + (female or 0)
    for tag in group.noun("pair", "trio"):
        prev = group.before(tag)
        size = 2 if tag.says("noun", "pair") else 3
        if prev is not None and prev.kind == "num":
            count = prev.value * size
        elif count is None:
            count = size
    line = group.line()
    for word, sex in (("her", "female"), ("him", "male")):
        if count is None and word in group.words() and not group.noun("male", "female"):
            count = 1.0
            male, female = (1.0, None) if sex == "male" else (None, 1.0)
            line = line or ctx.line
    if count is None and not nums:
        for tag in group.noun("male", "female"):
            before = group.before(tag)
            if not tag.word.endswith("s") and not (
                before is not None and before.word in ("all", "both", "some", "few")
            ):
                count = 1.0
                male, female = (1.0, female) if tag.says("noun", "male") else (male, 1.0)
        if male and female:
            count = 2.0
    if source is None and batch is None:
        if line and not ctx.places:
            found = tuple(p for p in teller.spots_by_line("move", [line]) if p != target)
            stage = group.stage() or ("adults" if male is not None or female is not None else None)
            if stage == "adults":
                found = tuple(p for p in found if names.place_of[p].role == "breeders")
            if len(found) > 1 and stage:
                found = tuple(p for p in found if any(b.stage == stage for b in names.batches_in(p)))
            if len(found) == 1:
                source = found[0]
        if source is None and len(ctx.places) == 1 and ctx.places[0] != target:
            source = ctx.places[0]
        elif source is None and ctx.batch:
            batch = ctx.batch
    if source is None and batch is None and line and (group.stage() == "fry") and "in" in group.words():
        found = tuple(p for p in teller.spots_by_line("hatch", [line]) if p != target and p in names.place_of)
        source = found[0] if len(found) == 1 else None
    if source is None and batch is not None and batch in names.batch_of:
        source = names.batch_of[batch].place if names.batch_of[batch].place in names.place_of else None
    words = group.words()
    all_ = bool(words & {"all", "everyone", "everybody"})
    if (
        count is None
        and ctx.kind in ("hatch",)
        and not all_
        and ctx.count is not None
        and (words & {"them", "those", "they", "moved", "it"} or tags[0].word in ("to", "were", "was"))
        and (ctx.places == (source,) or source is None or ctx.batch)
    ):
        count = ctx.count
    total = sum(int(e.get("count") or 0) for e in teller.events if e["kind"] == "hatch")
    if (
        count is not None
        and all_
        and ctx.kind == "hatch"
        and count == total
        and source is None
        and ctx.event is not None
    ):
        source = str(ctx.event["place"]) if ctx.event.get("place") else source
    if (
        count is None
        and ctx.kind == "hatch"
        and all_
        and ctx.count is not None
        and sum(1 for e in teller.events if e["kind"] == "hatch") == 1
    ):
        count = ctx.count
    if target is None and count is None and not batch:
        return
    if target is None:
        if source is not None or batch or line:
            teller.ask(
                group,
                "Moved to which tank or tub?",
                "to",
                {"kind": "move", "from": source, "batch": batch, "count": count},
            )
        return
    if source is None and batch is None:
        teller.ask(
            group, "Moved from which tank or tub?", "from", {"kind": "move", "to": target, "count": count, "line": line}
        )
        return
    if source == target:
        teller.ask(group, "Moved from where to where?", "to", {"kind": "move", "from": source, "count": count})
        return
    stage = group.stage()
    keys: dict[str, object] = {"from_": source, "to": target, "batch": batch, "count": count}
    hatched = ctx.values.get("hatched_line")
    if not group.kind("line") and isinstance(hatched, tuple) and hatched[0] == group.sentence and ctx.kind == "hatch":
        keys["line"] = hatched[1]
    if group.kind("line") and line:
        keys["line"] = line
    if stage:
        keys["stage"] = stage
    if male is not None:
        keys["male"] = int(male)
    if female is not None:
        keys["female"] = int(female)
    teller.tell("move", group, **keys)


FRAMES = [
    Frame("death", sees_death, tell_death),
    Frame("headcount", sees_count, tell_count),
    Frame("move", sees_move, tell_move),
]
