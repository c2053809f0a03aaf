"""The keeper's other work: live foods, gear, peat, tanks set up and taken down."""

from __future__ import annotations

from bot.language.figures import ORDINALS
from bot.language.group import Group
from bot.language.scene import Part
from bot.language.tags import Tag
from bot.language.telling import Frame, Sight, Teller, litres_of_volume


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


def sees_culture(part: Part, teller: Teller) -> Sight | None:
    its = cultures(part.tags, teller)
    noun = part.noun("culture")
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
    if part.has("crash"):
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
    if part.has("feed", "gave") and (noun or part.kind("culture")) and not spots and not part.sense("group"):
        if part.has("done") and not part.kind("culture"):
            return None
        return Sight(6, (*part.cues("feed", "gave"), *noun))
    return None


def tell_culture(group: Group, teller: Teller) -> None:
    its = cultures(group.tags, teller)
    if not its and group.parts[0].before is not None and group.words() & {"it", "them"}:
        its = cultures(group.parts[0].before.tags, teller)
    names = teller.names
    if group.cues("crash", "dead"):
        action = "crash"
    elif group.cues("harvest"):
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
    if action in ("crash", "harvest") and len(sure) > 1 and len(group.kind("culture")) < 2:
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


def _behind(part: Part, tag: Tag) -> bool:
    """Whether a piece of gear only says where: "stuck behind the sponge", "sucked into the filter"."""
    n = next(i for i, t in enumerate(part.tags) if t is tag)
    return any(
        t.word in ("into", "behind", "under", "in", "inside", "near", "against", "beside", "by", "on", "around")
        for t in part.tags[max(0, n - 2) : n]
    )


def sees_service(part: Part, teller: Teller) -> Sight | None:
    if part.words() & {"mistake", "accident", "accidentally"}:
        return None
    items = part.sense("item")
    if "hours" in part.words() and any(t.says("item", "light") for t in items):
        return None  # how long a light burns
    if part.kind("line", "batch") or part.noun("male", "female", "fish", "fry", "juveniles"):
        items = [t for t in items if not _behind(part, t)]
    clean = part.cues("clean")
    if part.noun("eggs") or part.has("bad", "hatch", "eyed"):
        return None
    if (
        items
        and all(t.word in ("lamp", "glass", "front glass", "light", "lights", "air", "led", "algae") for t in items)
        and not clean
    ):
        return None
    if items and (clean or part.cues("done", "changed", "gave")):
        if (
            clean
            and all(t.word in ("new", "fresh", "clean", "died", "failed", "stopped", "broke") for t in clean)
            and not part.words() & {"put", "in", "got", "installed", "fitted", "swapped", "on", "for"}
        ):
            return None
        if (
            all(t.word in ("died", "failed", "stopped", "broke", "broken") for t in clean)
            and clean
            and not _mended(part)
        ):
            return None
        return Sight(5, (*items, *clean, *part.cues("changed", "collect", "dead")))
    if (
        not items
        and clean
        and clean[0].word
        in (
            "squeezed",
            "squeezed out",
            "rinsed",
            "cleaned",
            "wiped",
            "swapped",
            "replaced",
            "scrubbed",
            "wrung",
            "wrung out",
            "washed",
            "fixed",
            "cleared",
            "unblocked",
            "swished",
            "fitted",
            "installed",
        )
        and teller.context.values.get("item_sentence") in (part.sentence, part.sentence - 1)
        and not part.kind("line")
        and len(part.tags) <= 16
    ):
        return Sight(3, tuple(clean))
    if (
        items
        and part.words()
        & {"siphoning", "siphon", "leaking", "rattling", "installed", "fitted", "unplugged", "burned", "broken"}
        and (part.kind("place", "num", "size") or teller.context.places)
    ):
        return Sight(3, tuple(items))
    if items and teller.context.kind == "service" and (part.kind("place", "num", "size")):
        return Sight(3, tuple(items))
    return None


_MENDING = frozenset(
    [
        "spare",
        "new",
        "fitted",
        "replaced",
        "swapped",
        "changed",
        "fixed",
        "mended",
        "installed",
        "sorted",
        "repaired",
        "put",
    ]
)


def _mended(part: Part) -> bool:
    """Whether what failed is said, in the clause or those beside it, to have been put right."""
    near = [part, *([part.before] if part.before else []), *([part.after] if part.after else [])]
    near += [near[-1].after] if near[-1].after else []
    return any(w in _MENDING for p in near if not p.muted for t in p.tags for w in t.word.split())


def tell_service(group: Group, teller: Teller) -> None:
    if group.unknown() is not None:
        teller.ask_place(group, {"kind": "service"})
        return
    items = list(dict.fromkeys(min(t.senses["item"]) for t in group.sense("item"))) or [
        str(teller.context.values["item"])
    ]
    swapped = group.words() & {"replaced", "swapped", "exchanged", "changed"}
    if len(items) > 1 and swapped and group.words() & {"by", "with", "for"}:
        items = items[:1]  # "the filter was replaced by a new sponge"
    seq = group.sequence("place")
    places = [p for k, v, _ in seq if k == "P" for p in v]
    batches = [teller.names.batch_of[b].place for b in group.batches()]
    places = list(dict.fromkeys([*places, *[b for b in batches if b in teller.names.place_of]]))
    groups = group.sense("group")
    if not places and groups:
        places = [min(groups[0].senses["group"])]
    if not places:
        found, sort = teller.where(group, "service")
        places = list(found) if sort == "P" else []
    if not places:
        if group.words() & {"all", "every"}:
            places = ["all"]
        else:
            teller.ask_place(group, {"kind": "service", "item": items[0]})
            return
    for item in items:
        for place in places:
            teller.tell("service", group, place=place, item=item)


def _peaty(part: Part | Group, teller: Teller) -> bool:
    """Whether a clause speaks of a line or batch whose eggs lie in peat."""
    names = teller.names
    lines = {x.name for x in names.lines if x.eggs == "peat"}
    for tag in part.kind("line"):
        if set(tag.value) & lines:
            return True
    return any(
        b in names.batch_of and names.batch_of[b].line in lines and names.batch_of[b].stage == "eggs"
        for b in (t.value for t in part.kind("batch"))
    )


def sees_peat(part: Part, teller: Teller) -> Sight | None:
    peat = part.noun("peat")
    if peat and "out" in part.words() and not part.has("wet", "bag"):
        return Sight(7, (*part.cues("collect", "changed", "pull", "clean"), *peat))
    if (
        part.noun("bag")
        and not part.muted
        and teller.context.kind == "peat"
        and teller.context.sentence == part.sentence
        and not part.has("wet")
    ):
        return Sight(8, (*part.cues("bag", "collect", "clean", "pull", "put"), *part.noun("bag")))
    wet = list(part.cues("wet"))
    if wet and (peat or _peaty(part, teller) or part.noun("bag")):
        return Sight(8, (*wet, *peat))
    if part.has("bag") and (
        peat
        or _peaty(part, teller)
        or teller.context.kind == "peat"
        or part.words() & {"weeks"}
        or part.kind("dur")
        or (part.noun("bag") and not part.kind("num"))
        or any(t.says("noun", "peat") for t in teller.all_tags)
    ):
        return Sight(8, (*part.cues("bag", "collect", "clean", "pull"), *peat))
    if any("peat out" in t.word for t in part.cues("collect")):
        return Sight(7, tuple(part.cues("collect")))
    if peat and part.has("collect", "changed", "pull", "clean") and not part.noun("eggs"):
        if part.words() & {"fresh", "new"} and not part.has("changed", "pull"):
            return None
        return Sight(7, (*part.cues("collect", "changed", "pull", "clean"), *peat))
    return None


def tell_peat(group: Group, teller: Teller) -> None:
    ctx = teller.context
    action = (
        "wet"
        if group.cues("wet")
        else "bag"
        if group.cues("bag") or (group.noun("bag") and not group.noun("peat"))
        else "collect"
    )
    previous = ctx.event
    if (
        action == "bag"
        and previous is not None
        and previous["kind"] == "peat"
        and previous["action"] == "collect"
        and (
            ctx.sentence == group.sentence
            or (ctx.sentence == group.sentence - 1 and not group.kind("place", "line", "batch"))
        )
    ):
        previous["action"] = "bag"
        weeks = _weeks(group)
        if weeks:
            previous["weeks"] = weeks
        return
    if group.unknown() is not None:
        teller.ask_place(group, {"kind": "peat", "action": action})
        return
    line = group.line()
    batch = group.batches()[0] if len(group.batches()) == 1 else None
    seq = group.sequence("place")
    places = [p for k, v, _ in seq if k == "P" for p in v]
    names = teller.names
    peaty = [x.name for x in names.lines if x.eggs == "peat"]
    if action == "wet" and batch is None:
        bags = [b.name for b in names.batches if b.stage == "eggs" and b.line in ([line] if line else peaty)]
        batch = bags[0] if len(bags) == 1 else None
        if batch is None and not line:
            teller.ask(group, "Which peat was wetted?", "batch", {"kind": "peat", "action": action})
            return
    if not places and not batch and action != "wet":
        its = [p.name for p in names.places if p.line in ([line] if line else peaty) and p.role == "breeders"]
        if len(its) == 1:
            places = its
        elif len(ctx.places) == 1:
            places = list(ctx.places)
        elif not line:
            teller.ask(group, "Peat from which tank?", "place", {"kind": "peat", "action": action})
            return
    raw = teller.tell(
        "peat",
        group,
        place=places[0] if len(places) == 1 and not batch else None,
        batch=batch,
        line=line,
        action=action,
        weeks=_weeks(group),
    )
    _ = raw


def _weeks(group: Group) -> float | None:
    for tag in group.kind("dur"):
        if tag.unit == "week" and tag.low is None:
            return float(tag.value)
        if tag.unit == "month" and tag.low is None:
            return None
    return None


def sees_new(part: Part, teller: Teller) -> Sight | None:
    cue = part.cues("newplace")
    if not cue or part.noun("mop", "culture") or part.kind("culture") or part.sense("food"):
        return None
    place = _new_name(part.tags, teller) or _new_name(teller.all_tags, teller)
    if place and len(teller.all_tags) <= 60:
        return Sight(8, (*cue, *part.cues("start", "put", "move", "clean")))
    return None


def _new_name(tags: list[Tag], teller: Teller) -> str | None:
    heads = {h for h in teller.names.heads if h}
    for n, tag in enumerate(tags):
        if tag.kind == "place" and tag.note.startswith("?"):
            return tag.note[1:]
        if tag.kind == "lex" and tag.word in ("new tub", "new tank", "new jar") and n + 1 < len(tags):
            head = tag.word.split()[1]
            nxt = tags[n + 1]
            if head in heads and (nxt.kind == "num" and nxt.value == int(nxt.value)):
                return f"{head} {int(nxt.value)}" if f"{head} {int(nxt.value)}" not in teller.names.place_of else None
            if head in heads and len(nxt.word) == 1 and nxt.word.isalpha() and nxt.word != "a":
                return f"{head} {nxt.word.upper()}"
    return None


def tell_new(group: Group, teller: Teller) -> None:
    tags = teller.all_tags
    place = _new_name(group.tags, teller) or _new_name(tags, teller)
    if place is None:
        return
    role = None
    for tag in tags:
        if tag.says("role"):
            role = tag.one("role")
        elif tag.says("noun", "fry"):
            role = "fry"
        elif tag.says("noun", "eggs"):
            role = role or "eggs"
    litres = next((litres_of_volume(t) for t in tags if t.kind == "vol"), None)
    lines = [t.value[0] for t in tags if t.kind == "line" and len(t.value) == 1]
    teller.tell(
        "new_place", group, place=place, litres=litres, line=lines[0] if len(set(lines)) == 1 else None, role=role
    )
    for tag in tags:
        if tag.kind in ("place", "num", "vol"):
            tag.claimed = tag.claimed or "new"


def sees_close(part: Part, teller: Teller) -> Sight | None:
    cue = part.cues("close")
    if (
        cue
        and cue[0].word == "out of use"
        and not part.kind("place")
        and (len(teller.context.places) == 1 or (part.before is not None and len(part.before.kind("place")) == 1))
    ):
        return Sight(7, tuple(cue))
    if cue and part.kind("place", "size") and not part.noun("mop", "fish", "eggs") and not part.sense("item"):
        return Sight(7, tuple(cue))
    return None


def tell_close(group: Group, teller: Teller) -> None:
    if group.unknown() is not None:
        teller.ask_place(group, {"kind": "close_place"})
        return
    places = [p for k, v, _ in group.sequence("place") if k == "P" for p in v] or list(teller.context.places)
    for place in places:
        teller.tell("close_place", group, place=place)


def sees_done(part: Part, teller: Teller) -> Sight | None:
    done = part.cues("done")
    if not done or part.kind("num", "pct", "vol", "amount", "money") or len(part.tags) > 9:
        return None
    if (
        part.after is not None
        and part.after.joiner in (",", ":")
        and part.after.has("wc", "changed", "topoff")
        and part.sense("group")
    ):
        return None  # "done the egg tubs, new water in A and B": the second clause says what was done
    task = (
        part.noun("culture", "eggs", "mop", "filters", "water")
        or part.sense("group")
        or part.sense("item")
        or part.cues("feed")
        or part.words() & {"tubs", "fry", "cultures", "tanks", "rounds", "chores", "list"}
        or part.kind("place")
    )
    if done[0].word == "did" and not (
        part.sense("group") or part.noun("mop", "culture", "filters") or part.words() & {"tubs", "rounds"}
    ):
        return None
    if part.words() & {"done", "finished", "complete", "completed", "all done", "✓", "dun", "did", "sorted"} and task:
        return Sight(2, tuple(done))
    return None


def tell_done(group: Group, teller: Teller) -> None:
    if group.unknown() is not None:
        teller.ask_place(group, {"kind": "done"})
        return
    places = [p for k, v, _ in group.sequence("place") if k == "P" for p in v]
    batches = group.batches()
    last = teller.context.event
    if last is not None and last["kind"] == "service" and places and not group.noun("culture", "eggs", "mop", "water"):
        for place in places:
            teller.tell("service", group, place=place, item=last["item"])
        return
    if not places:
        teller.tell("done", group, task=group.text(), batch=batches[0] if batches else None)
        groups = group.sense("group")
        if groups:  # "egg tubs done, 3 drops each": what follows is said of them
            teller.context.places = (min(groups[0].senses["group"]),)
    for place in places:
        teller.tell("done", group, task=group.text(), place=place)


FRAMES = [
    Frame("done", sees_done, tell_done),
    Frame("culture", sees_culture, tell_culture),
    Frame("peat", sees_peat, tell_peat),
    Frame("new_place", sees_new, tell_new),
    Frame("close_place", sees_close, tell_close),
    Frame("service", sees_service, tell_service),
]
