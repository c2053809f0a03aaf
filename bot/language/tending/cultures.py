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
    its, noun = cultures(part.tags, teller), part.noun("culture")
    if its and (fed := _fed_itself(part, teller)):
        return Sight(7, tuple(fed))
    if part.kind("culture") and part.words() & _TAKEN and not part.kind("place", "line"):
        return Sight(7, tuple(part.cues("harvest", "clean", "collect", "pull")))
    if not its and _taken_of_the_food_before(part, teller):
        return Sight(7, tuple(part.cues("harvest", "move")))
    if not its and not noun and (anew := _begun_again(part, teller)):
        return Sight(6, tuple(anew))
    if not its and _fed_of_the_clause_before(part, teller):
        return Sight(6, tuple(part.cues("feed", "gave")))
    if not its and not noun:
        return None
    return _spoken_of(part, its)


def _spoken_of(part: Part, its: list[str]) -> Sight | None:
    """What is told of a culture that a clause names: it died, was harvested, started, fed."""
    noun = part.noun("culture")
    named = bool(noun or part.kind("culture"))
    fish = part.noun("fish", "fry", "male", "female") or part.kind("line", "place", "num")
    if its and part.has("dead") and not fish:
        return Sight(7, tuple(part.cues("dead", "lost")))
    if part.has("crash") and (named or not _thrown_to_fish(part)):
        return Sight(7, (*part.cues("crash", "start"), *part.kind("culture")))
    if part.has("harvest"):
        return Sight(7, tuple(part.cues("harvest", "move", "pull")))
    spots = part.kind("place", "size") or part.sense("group") or part.kind("num")
    brine = any("brine" in c for c in its)
    start = part.cues("start") or [t for t in part.tags if t.word == "on" and brine and not spots][:1]
    if start and not (spots and not noun and start[0].word in ("on", "new", "made", "put", "set up")):
        if start[0].word == "on" and not any(t.says("food") for t in part.tags[:2]):
            return None
        if not named and (start[0].word == "new" or (start[0].word in ("on", "put", "made") and not brine)):
            return None
        return Sight(6, (*start, *part.cues("newplace", "move"), *noun))
    if not part.has("feed", "gave"):
        return None
    first = part.tags[0]
    if len(its) == 1 and part.words() & _FOR_CULTURES and (first.kind == "culture" or first.says("food")):
        return Sight(6, (*part.cues("feed", "gave"), first))  # "daphnia got a spoon of yeast"
    if not named or spots or (part.has("done") and not part.kind("culture")):
        return None
    return Sight(6, (*part.cues("feed", "gave"), *noun))


def _taken_of_the_food_before(part: Part, teller: Teller) -> bool:
    """ "The daphnia are thick. Scooped some out"."""
    seen = teller.context.values
    taken = part.words() & {"scooped", "skimmed", "netted"} and part.words() & {"out", "off", "some"}
    lately = seen.get("food") and int(str(seen.get("food_sentence", -9))) >= part.sentence - 1
    if not taken or not lately or part.kind("place", "line"):
        return False
    return any(h.rstrip("s") == str(seen["food"]).rstrip("s") for h in teller.names.culture_ids)


def _begun_again(part: Part, teller: Teller) -> list[Tag]:
    """The signs that the culture just told of was begun again: "daphnia crashed, started a new one from the jar"."""
    if teller.context.kind != "culture":
        return []
    started = part.cues("start")
    again = [t for t in started if t.word in ("started over", "starting over", "start over", "restarted")]
    if again:
        return again
    one = "one" in part.words() and part.words() & {"new", "another", "fresh"}
    return started if one and not part.kind("place", "line", "batch") and not part.sense("item") else []


def _fed_of_the_clause_before(part: Part, teller: Teller) -> bool:
    """ "Daphnia thin, gave them yeast"."""
    before = part.before
    if before is None or not part.words() & {"it", "them"} or part.kind("place", "num", "line") or part.sense("food"):
        return False
    given = part.words() & _FOR_CULTURES
    if not part.has("feed") and not (part.has("gave") and given):
        return False
    grown = given and not before.kind("place", "line") and any(cultures([t], teller) for t in before.tags)
    return bool(before.kind("culture") or grown)


def _thrown_to_fish(part: Part) -> bool:
    """Whether a live food was only tipped into a tank: "dumped the bbs in 3"."""
    thrown = any(t.word.startswith(("toss", "chuck", "threw", "dump", "binned")) for t in part.cues("crash"))
    return thrown and bool(part.kind("line", "place") or part.words() & {"to", "into", "in", "for"})


def tell_culture(group: Group, teller: Teller) -> None:
    its = cultures(group.tags, teller)
    its = [c for c in its if c not in _well(group)] or its
    if not its and group.parts[0].before is not None and group.words() & {"it", "them"}:
        its = cultures(group.parts[0].before.tags, teller)
    if group.cues("harvest") and any(_fed_in(p) for p in group.parts):
        sure = [c for c in its if not c.startswith("?")]
        if len(sure) != 1:
            teller.ask(group, "Which was fed, and which harvested?", "culture", {"kind": "culture"}, sure)
            return
        teller.tell("culture", group, culture=sure[0], action="feed")
    action = _action(group)
    if not its and (only := _grown_of_the_food_before(group, teller)):
        its, action = only, "harvest"
    last = teller.context.event
    if not its and last is not None and last["kind"] == "culture" and action == "start":
        teller.tell("culture", group, culture=last["culture"], action="start")
        for tag in group.kind("num"):
            tag.claimed = "wrong"
        return
    if action == "start":
        its = _started(group, teller, its)
    elif _all_meant(group):
        its = _each_of_its_kind(its, teller)
    sure = [c for c in its if not c.startswith("?")]
    if not sure:
        _ask_which(group, teller, its, action)
        return
    if action in ("crash", "harvest") and len(sure) > 1 and len(group.kind("culture")) < 2 and not _all_meant(group):
        sure = sure[:1]
    for culture in sure:
        teller.tell("culture", group, culture=culture, action=action)
    if action == "harvest":
        _fed_with_it(group, teller, _grows(sure[0]))


def _fed_in(part: Part) -> bool:
    """Whether a clause tells that a culture was fed, and not that it was harvested."""
    return not part.has("harvest") and (part.has("feed") or (part.has("gave") and bool(part.words() & _FOR_CULTURES)))


def _action(group: Group) -> str:
    if group.cues("crash", "dead"):
        return "crash"
    if group.cues("harvest") or (group.kind("culture") and group.words() & _TAKEN and not group.cues("feed")):
        return "harvest"
    if group.cues("start") or ("on" in group.words() and not group.cues("feed")):
        return "start"
    return "feed"


def _grown_of_the_food_before(group: Group, teller: Teller) -> list[str]:
    """The one culture that grows the food named before what was harvested; none where there are several."""
    seen = teller.context.values.get("food")
    if not seen or not group.cues("harvest", "move"):
        return []
    ids = next((v for h, v in teller.names.culture_ids.items() if h.rstrip("s") == str(seen).rstrip("s")), {})
    return list(ids.values()) if len(ids) == 1 else []


def _each_of_its_kind(its: list[str], teller: Teller) -> list[str]:
    return [n for c in its for n in (teller.names.culture_ids[c[1:]].values() if c.startswith("?") else (c,))]


def _ask_which(group: Group, teller: Teller, its: list[str], action: str) -> None:
    """Ask which culture is meant; "fed the cultures" is only noted."""
    if action == "feed" and not its and group.noun("culture"):
        teller.tell("done", group, task=group.text())
        return
    options = _each_of_its_kind(its, teller) if its else list(teller.names.cultures)
    partial = {"kind": "culture", "action": action}
    teller.ask(group, f"Which culture: {', '.join(options)}?", "culture", partial, options)


def _fed_with_it(group: Group, teller: Teller, food: str) -> None:
    """Tell who was fed with what was harvested: "microworms harvested for 1 and 2"."""
    teller.context.food = food
    places = [p for k, v, _ in group.sequence("place") if k == "P" for p in v]
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
