"""Live foods: started, fed, harvested, split, lost."""

from __future__ import annotations

from bot.language.clauses.group import Group
from bot.language.scene import Part
from bot.language.tags import Tag
from bot.language.telling import Sight, Teller
from bot.language.text.figures import ORDINALS


def cultures(tags: list[Tag], teller: Teller) -> list[str]:
    """The cultures some tags name: by number, or by a food only one of them grows."""
    out: list[str] = []
    for tag in tags:
        if tag.kind == "culture":
            out.append(tag.value)
        elif tag.says("food"):
            foods = {f.rstrip("s") for f in tag.senses["food"]}
            for head, ids in teller.names.culture_ids.items():
                if head.rstrip("s") in foods or head.rstrip("s") == tag.word.rstrip("s"):
                    if len(ids) == 1:
                        out.append(next(iter(ids.values())))
                    else:
                        out.append(f"?{head}")
    return list(dict.fromkeys(out))


# What live foods are fed and fish are not (common practice, no source).
_FOR_CULTURES = frozenset(["yeast", "flour", "oats", "oatmeal", "bread", "potato", "apple", "vinegar", "milk", "soy"])


# What a culture is kept in, said after what it is: "both microworm boxes".
_KEPT_IN = frozenset(
    ["box", "boxes", "jar", "jars", "bottle", "bottles", "bucket", "buckets", "vat", "tray", "trays", "container",
     "containers", "pot", "pots", "batch"]
)  # fmt: skip
_TAKEN = frozenset(
    ["scraped", "took", "taken", "collected", "skimmed", "siphoned", "spooned", "swiped", "rinsed", "strained",
     "drained", "wiped", "scooped", "tapped"]
)  # fmt: skip
_OF_ALL = frozenset(["both", "all", "each", "every"])


def _fed_itself(part: Part, teller: Teller) -> list[Tag]:
    """The live food that was fed and not given to anybody: "fed the daphnia", "gave both microworm boxes yeast"."""
    if part.kind("place", "size", "line", "batch") or part.sense("group") or part.noun("fish", "fry", "male", "female"):
        return []
    tags = part.tags
    for n, tag in enumerate(tags):
        if not cultures([tag], teller) or not n:
            continue
        if tags[n - 1].word == "all" and len(cultures([tag], teller)) == 1:
            return []  # "fed all bbs": everybody got them
        after = tags[n + 1] if n + 1 < len(tags) else None
        boxed = after is not None and (after.word in _KEPT_IN or after.says("noun", "culture"))
        if after is not None and (after.word in ("to", "into") or (after.kind == "num" and not boxed)):
            return []
        fed = part.cues("feed")
        before = [t for t in tags[:n] if t.word not in ("of", "the", "my", "our", "both", "all")]
        if fed and before and before[-1] is fed[-1] and (boxed or len(before) < n or tag.kind == "culture"):
            return [*fed, tag]
        if (boxed or part.words() & _FOR_CULTURES) and part.has("gave", "feed") and before and before[-1].says("cue"):
            return [*part.cues("gave", "feed"), tag]
    return []


def sees_culture(part: Part, teller: Teller) -> Sight | None:
    its = cultures(part.tags, teller)
    noun = part.noun("culture")
    if its and (fed := _fed_itself(part, teller)):
        return Sight(7, tuple(fed))
    if part.kind("culture") and part.words() & _TAKEN and not part.kind("place", "line"):
        return Sight(7, tuple(part.cues("harvest", "clean", "collect", "pull")))
    seen = teller.context.values
    if (
        not its
        and part.words() & {"scooped", "skimmed", "netted"}
        and part.words() & {"out", "off", "some"}
        and not part.kind("place", "line")
        and seen.get("food")
        and int(str(seen.get("food_sentence", -9))) >= part.sentence - 1
    ) and any(h.rstrip("s") == str(seen["food"]).rstrip("s") for h in teller.names.culture_ids):
        return Sight(7, tuple(part.cues("harvest", "move")))
    again = [t for t in part.cues("start") if t.word in ("started over", "starting over", "start over", "restarted")]
    if again and teller.context.kind == "culture" and not its and not noun:
        return Sight(6, tuple(again))
    anew = part.cues("start") if "one" in part.words() and part.words() & {"new", "another", "fresh"} else []
    if (
        anew
        and teller.context.kind == "culture"
        and not its
        and not noun
        and not part.kind("place", "line", "batch")
        and not part.sense("item")
    ):
        return Sight(6, tuple(anew))  # "daphnia crashed, started a new one from the jar"
    kept = part.before.kind("culture") if part.before is not None else []
    if part.before is not None and part.words() & _FOR_CULTURES and not part.before.kind("place", "line"):
        kept = kept or [t for t in part.before.tags if cultures([t], teller)]  # "daphnia thin, gave them yeast"
    if (
        kept
        and not its
        and (part.has("feed") or (part.has("gave") and part.words() & _FOR_CULTURES))
        and part.words() & {"it", "them"}
        and not part.kind("place", "num", "line")
        and not part.sense("food")
    ):
        return Sight(6, tuple(part.cues("feed", "gave")))
    if not its and not noun:
        return None
    spots = part.kind("place", "size") or part.sense("group") or list(part.kind("num"))
    if (
        its
        and part.has("dead")
        and not part.noun("fish", "fry", "male", "female")
        and not part.kind("line", "place", "num")
    ):
        return Sight(7, tuple(part.cues("dead", "lost")))
    thrown = [t for t in part.cues("crash") if t.word.startswith(("toss", "chuck", "threw", "dump", "binned"))]
    given = part.kind("line", "place") or part.words() & {"to", "into", "in", "for"}
    if part.has("crash") and not (thrown and given and not part.kind("culture") and not noun):
        return Sight(7, (*part.cues("crash", "start"), *part.kind("culture")))
    if part.has("harvest"):
        return Sight(7, tuple(part.cues("harvest", "move", "pull")))
    start = (
        part.cues("start")
        or [t for t in part.tags if t.word == "on" and any("brine" in c for c in its) and not spots][:1]
    )
    if start and not (start[0].word in ("on", "new", "made", "put", "set up") and spots and not noun):
        if start[0].word == "on" and not any(t.says("food") for t in part.tags[:2]):
            return None
        if start[0].word == "new" and not (noun or part.kind("culture")):
            return None
        if (
            start[0].word in ("on", "put", "made", "started", "start", "set up", "set off", "set going")
            and not noun
            and not part.kind("culture")
            and not any(c == "brine shrimp" or "brine" in c for c in its)
            and start[0].word in ("on", "put", "made")
        ):
            return None
        return Sight(6, (*start, *part.cues("newplace", "move"), *noun))
    first = part.tags[0]
    if (
        len(its) == 1
        and part.has("feed", "gave")
        and part.words() & _FOR_CULTURES
        and (first.kind == "culture" or first.says("food"))
    ):
        return Sight(6, (*part.cues("feed", "gave"), first))  # "daphnia got a spoon of yeast"
    if part.has("feed", "gave") and (noun or part.kind("culture")) and not spots and not part.sense("group"):
        if part.has("done") and not part.kind("culture"):
            return None
        return Sight(6, (*part.cues("feed", "gave"), *noun))
    return None


def tell_culture(group: Group, teller: Teller) -> None:
    its = cultures(group.tags, teller)
    its = [c for c in its if c not in _well(group)] or its
    if not its and group.parts[0].before is not None and group.words() & {"it", "them"}:
        its = cultures(group.parts[0].before.tags, teller)
    names = teller.names
    if group.cues("harvest") and any(
        not p.has("harvest") and (p.has("feed") or (p.has("gave") and p.words() & _FOR_CULTURES)) for p in group.parts
    ):
        sure = [c for c in its if not c.startswith("?")]
        if len(sure) != 1:
            teller.ask(group, "Which was fed, and which harvested?", "culture", {"kind": "culture"}, sure)
            return
        teller.tell("culture", group, culture=sure[0], action="feed")
    if group.cues("crash", "dead"):
        action = "crash"
    elif group.cues("harvest") or (group.kind("culture") and group.words() & _TAKEN and not group.cues("feed")):
        action = "harvest"
    elif group.cues("start") or ("on" in group.words() and not group.cues("feed")):
        action = "start"
    else:
        action = "feed"
    seen = teller.context.values.get("food")
    if not its and group.cues("harvest", "move") and seen:
        ids = next((v for h, v in names.culture_ids.items() if h.rstrip("s") == str(seen).rstrip("s")), {})
        if len(ids) == 1:
            its, action = list(ids.values()), "harvest"
    previous = teller.context.event
    if not its and previous is not None and previous["kind"] == "culture" and action == "start":
        teller.tell("culture", group, culture=previous["culture"], action="start")
        for tag in group.kind("num"):
            tag.claimed = "wrong"
        return
    if action == "start":
        its = _started(group, teller, its)
    elif _all_meant(group):
        its = [n for c in its for n in (names.culture_ids[c[1:]].values() if c.startswith("?") else (c,))]
    sure = [c for c in its if not c.startswith("?")]
    if not sure:
        options = [n for c in its for n in names.culture_ids[c[1:]].values()] if its else list(names.cultures)
        if action == "feed" and not its and group.noun("culture"):
            teller.tell("done", group, task=group.text())
            return
        teller.ask(
            group, f"Which culture: {', '.join(options)}?", "culture", {"kind": "culture", "action": action}, options
        )
        return
    if action in ("crash", "harvest") and len(sure) > 1 and len(group.kind("culture")) < 2 and not _all_meant(group):
        sure = sure[:1]
    for culture in sure:
        teller.tell("culture", group, culture=culture, action=action)
    if action == "harvest":
        food = _grows(sure[0])
        teller.context.food = food
        spots = group.sequence("place")
        places = [p for k, v, _ in spots if k == "P" for p in v]
        if places and group.unknown() is None:
            teller.tell("feed", group, places=places, food=food)
        groups = group.sense("group")
        if groups and not places:
            teller.tell("feed", group, places=[min(groups[0].senses["group"])], food=food)


_IS = frozenset(["is", "was", "looks", "look", "still", "are", "seems", "all", "smells"])
_WELL = frozenset(["ok", "okay", "fine", "good", "alive", "healthy", "great", "well", "thriving", "booming"])


def _well(group: Group) -> set[str]:
    """The cultures said to be well: "mw1 stinks mw2 ok"."""
    out: set[str] = set()
    for tag in group.kind("culture"):
        rest = [t.word for t in group.tags[group._index(tag) + 1 :] if t.word not in _IS]
        if rest and rest[0] in _WELL:
            out.add(str(tag.value))
            tag.kind, tag.note = "word", "idle"  # nothing was done to it
    return out


def _all_meant(group: Group) -> bool:
    """Whether all cultures of a kind are meant: "both microworms", "fed the microworms (both)"."""
    after = group.parts[-1].after
    alone = after is not None and {w for t in after.tags for w in t.word.split()} <= _OF_ALL | {"of", "them"}
    return bool(group.words() & _OF_ALL) or alone


def _grows(culture: str) -> str:
    """The food a culture gives, as fed."""
    word = culture.rstrip("0123456789 ").lower()
    return {
        "microworm": "microworms",
        "vinegar eel": "vinegar eels",
        "grindal worm": "grindal worms",
        "walter worm": "walter worms",
        "banana worm": "banana worms",
        "white worm": "white worms",
    }.get(word, word)


def _started(group: Group, teller: Teller, its: list[str]) -> list[str]:
    """The name of a culture newly started: as the note calls it, else the next number."""
    new = [t for t in teller.all_tags if t.kind == "culture" and t.note == "new"]
    if new:
        return [new[0].value]
    named = list(group.kind("culture"))
    text = group.text()
    heads = [c[1:] for c in its if c.startswith("?")] or [c.rstrip("0123456789 ") for c in its]
    ordinal = next((ORDINALS[t.word] for t in group.tags if t.word in ORDINALS), None)
    if named and "from" not in text and "new" not in text:
        return [t.value for t in named]
    if heads and heads[0] in teller.names.culture_ids:
        ids = teller.names.culture_ids[heads[0]]
        if "" in ids and ordinal is None and not {"another", "extra"} & set(text.split()):
            return [ids[""]]
        if "" in ids:
            return [f"{heads[0]} {ordinal or 2}"]
        if ordinal is not None:
            return [f"{heads[0]} {ordinal}"]
        if "new" in text or "another" in text:
            return [f"{heads[0]} {max(int(i) for i in ids if i.isdigit()) + 1}"]
        return [f"?{heads[0]}"]
    return its
