"""Fish and eggs moved from place to place."""

from __future__ import annotations

from bot.language.clauses.group import Group, Raw
from bot.language.scene import Part
from bot.language.tags import Tag
from bot.language.telling import Sight, Teller

MOST_OFFERED = 4  # places to choose from in one question


def _from_and_to(part: Part, teller: Teller) -> bool:
    """Whether fish are named with the place they left and the one they went to, the verb left out."""

    def names_place(tag: Tag) -> bool:
        if tag.kind == "place":
            return len(tag.value) == 1
        if tag.says("role", "nursery", "quarantine", "grow-out"):
            return True  # which of them is asked
        return tag.kind == "num" and len(teller.names.by_id.get(f"{tag.value:g}", ())) == 1

    tags = part.tags
    left = [
        n
        for n, t in enumerate(tags[:-1])
        if (t.word in ("from", "out of") or (t.word == "of" and n and tags[n - 1].word == "out"))
        and names_place(tags[n + 1])
    ]
    went = [n for n, t in enumerate(tags[:-1]) if t.word in ("to", "into") and names_place(tags[n + 1])]
    fish = part.kind("line", "batch") or part.noun("male", "female", "pair", "trio", "fry", "juveniles")
    others = [t for t in part.tags if t.senses.get("cue") and not t.says("cue", "collect", "gave")]
    return bool(fish) and len(left) == len(went) == 1 and not others and not part.sense("food")


def _went(part: Part, teller: Teller) -> Tag | None:
    """The word for going, where fish went to a place: "B19 went to tank 12", "everything in E went into 12"."""
    tags = part.tags
    for n, tag in enumerate(tags[1:-1], 1):
        goes = tag.word in ("went", "gone") and tags[n + 1].word in ("to", "into", "in", "over", "up")
        if not goes or part.kind("person", "money") or part.sense("food") or part.sense("substance"):
            continue
        ahead = Part(tags[:n])
        fish = ahead.kind("batch", "line") or ahead.noun("fish", "fry", "juveniles", "adults", "male", "female", "pair")
        whole = ahead.words() & {"everything", "rest", "all", "others"} and ahead.kind("place", "num", "batch")
        if (fish or whole) and not ahead.noun("eggs", "mop", "culture"):
            return tag
    return None


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
    if not cue and places and (going := _went(part, teller)) is not None:
        return Sight(4, (going,))
    if not cue and _from_and_to(part, teller):
        return Sight(4)  # "gardneri male from 3 to 2"
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


def _rest_of_a_pull(last: Raw, group: Group, teller: Teller) -> bool:
    """Whether the eggs left of a pull are moved, whose bad ones were just told: "…, the rest went into tub D"."""
    return (
        last["kind"] == "bad_eggs"
        and bool(group.words() & {"rest", "others", "remaining", "good"})
        and not group.noun("fry", "fish", "male", "female", "juveniles")
        and any(e["kind"] == "pull" and not e.get("to") and e.get("place") == last.get("place") for e in teller.events)
    )


def _left(group: Group, teller: Teller, target: str) -> list[str]:
    """Where fish can have been moved from: the tanks called what was said, else those with such young; few or none."""
    names = teller.names
    roles = [r for t in group.tags for r in t.senses.get("role", ())]
    spots = [p for r in roles for p in names.with_role(r)]
    spots += [b.place for b in names.batches if b.stage == group.stage()]
    found = [p.name for p in names.places if p.name in spots and p.name != target and names.batches_in(p.name)]
    return found if len(found) <= MOST_OFFERED else []


def tell_move(group: Group, teller: Teller) -> None:
    names, ctx = teller.names, teller.context
    tags = group.tags
    last = ctx.event
    if last is not None and last["kind"] == "move" and last.get("_group_parts") is group.parts:
        return
    if last is not None and last["kind"] == "pull" and last.get("to") and last["_group"].parts is group.parts:
        return  # "put fifteen eggs from tank 3 in with those in tub B": told as pulled
    here = [t for t in group.kind("place") if len(t.value) == 1]
    if (
        last is not None
        and (last["kind"] == "pull" or _rest_of_a_pull(last, group, teller))
        and len(here) == 1
        and not [t for t in group.kind("num") if t.claimed != "wrong"]
        and not group.kind("batch")
    ):
        for raw in teller.events:
            other = raw.get("place") != here[0].value[0]
            if raw["kind"] == "pull" and not raw.get("to") and other and raw.get("count") != 0:
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
        if nxt is not None and nxt.kind == "line":
            nxt = group.after(tag, 2)  # "one gularis male"
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
    if count is not None and (male or 0) + (female or 0) > count:
        male = female = None  # "two females fighting, one put in 15": of those
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
        held = {"kind": "move", "to": target, "count": count, "line": line}
        teller.ask(group, "Moved from which tank or tub?", "from", held, _left(group, teller, str(target)))
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
    elif source in names.place_of and not names.lines_in(source) and "line" not in keys:
        named = [x for p in group.parts[0].before_all() for t in p.kind("line") for x in t.value]
        if len(set(named)) == 1:
            keys["line"] = named[0]  # "the new lampeyes did their time in quarantine, so all five went to 5"
    if stage:
        keys["stage"] = stage
    if male is not None:
        keys["male"] = int(male)
    if female is not None:
        keys["female"] = int(female)
    teller.tell("move", group, **keys)
